"""Addresses of locks and sign-ins, as managers see them."""

from django.urls import path

from kits.people.signing.watch import views

urlpatterns = [
    path("", views.sign_ins, name="sign-ins"),
    path("locks/<int:pk>/lift/", views.lift, name="lift-lock"),
    path("second-steps/<int:pk>/reset/", views.reset, name="reset-second-step"),
]
