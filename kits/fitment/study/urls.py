"""Addresses of studies; they stand under the address of their fitment."""

from django.urls import path

from kits.fitment.study import views

urlpatterns = [
    path("", views.study, name="study"),
    path("holds/", views.study_holds, name="study-holds"),
    path("gases/", views.study_gases, name="study-gases"),
    path("keep/", views.keep_study, name="keep-study"),
]
