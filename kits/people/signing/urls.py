"""Addresses of signing in and out, of one's own account, and of what managers see of both."""

from django.urls import include, path

from kits.people.signing import views

urlpatterns = [
    path("sign-in/", views.sign_in, name="sign-in"),
    path("sign-in/code/", views.second_step, name="second-step"),
    path("sign-in/typed/", views.typed, name="typed"),
    path("sign-out/", views.sign_out, name="sign-out"),
    path("account/", include("kits.people.signing.account.urls")),
    path("sign-ins/", include("kits.people.signing.watch.urls")),
]
