"""Addresses of a fitment's fillings in steps, below the fitment's own."""

from django.urls import path

from kits.fitment.plateau import views

urlpatterns = [
    path("", views.plateau, name="plateau"),
]
