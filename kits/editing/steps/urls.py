"""Addresses of a kit's steps."""

from django.urls import path

from kits.editing.steps import views
from vehicles.records import urls as _code_converter  # noqa: F401 - registers <code:...>

urlpatterns = [
    path("kits/<code:kit>/steps/", views.steps, name="kit-steps"),
    path("kits/<code:kit>/steps/asked/", views.asked, name="asked-steps"),
    path("kits/<code:kit>/steps/order/", views.order, name="order-steps"),
]
