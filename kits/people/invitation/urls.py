"""The address of the link to choose a password."""

from django.urls import path

from kits.people.invitation import views

urlpatterns = [path("invitation/<str:token>/", views.invitation, name="invitation")]
