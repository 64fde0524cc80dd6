"""Address of the list of vehicles."""

from django.urls import path

from vehicles.catalogue import views

urlpatterns = [
    path("vehicles/", views.variant_list, name="variant-list"),
]
