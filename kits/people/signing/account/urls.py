"""Addresses of one's own account."""

from django.urls import path

from kits.people.signing.account import views

urlpatterns = [
    path("", views.account, name="account"),
    path("password/", views.password, name="account-password"),
    path("sign-out-everywhere/", views.sign_out_everywhere, name="sign-out-everywhere"),
    path("second-step/", views.second_step, name="account-second-step"),
    path("second-step/code.svg", views.secret_picture, name="account-second-step-picture"),
    path("second-step/off/", views.second_step_off, name="account-second-step-off"),
]
