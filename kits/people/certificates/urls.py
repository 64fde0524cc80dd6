"""Addresses of a person's certificates."""

from django.urls import path

from kits.people.certificates import views

urlpatterns = [
    path("add/", views.add, name="record-certificate"),
    path("<int:certificate>/", views.change, name="change-certificate"),
    path("<int:certificate>/withdraw/", views.withdraw, name="withdraw-certificate"),
]
