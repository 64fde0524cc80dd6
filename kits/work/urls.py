"""Addresses of works."""

from django.urls import path

from kits.work import views

urlpatterns = [
    path("works/<int:pk>/", views.work, name="work"),
    path("works/<int:pk>/cancel/", views.cancel, name="cancel-work"),
]
