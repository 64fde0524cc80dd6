"""Addresses of people."""

from django.urls import include, path

from kits.people import views
from vehicles.records import urls as _code_converter  # noqa: F401 - registers <code:...>

PERSON = "people/<code:initials>/"

urlpatterns = [
    path("people/", views.people, name="people"),
    # six letters, so nobody's initials
    path("people/invite/", views.invite, name="invite-person"),
    path(PERSON, views.person, name="person"),
    path(f"{PERSON}change/", views.change, name="change-person"),
    path(f"{PERSON}roles/", views.roles, name="give-roles"),
    path(f"{PERSON}leave/", views.leave, name="person-leaves"),
    path(f"{PERSON}back/", views.come_back, name="person-comes-back"),
    path(f"{PERSON}link/", views.link, name="make-link"),
    path(f"{PERSON}certificates/", include("kits.people.certificates.urls")),
    path("", include("kits.people.invitation.urls")),
    path("", include("kits.people.shop.urls")),
]
