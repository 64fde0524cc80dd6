"""The address of the workshop's settings."""

from django.urls import path

from kits.people.shop import views

urlpatterns = [path("settings/", views.settings, name="settings")]
