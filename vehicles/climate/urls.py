"""Address of the page of duty points."""

from django.urls import path

from vehicles.climate import views

urlpatterns = [
    path("duty-points/", views.climate, name="climate"),
]
