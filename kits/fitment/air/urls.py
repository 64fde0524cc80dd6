"""Addresses of a fitment's air side, below the fitment's own."""

from django.urls import path

from kits.fitment.air import views

urlpatterns = [path("", views.air, name="fitment-air")]
