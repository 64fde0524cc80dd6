"""The addresses that take a step of a filling, and the charge that a filling gives."""

from django.urls import path

from kits.survey.plateau import views

urlpatterns = [
    path("step/", views.add_step, name="add-plateau-step"),
    path("charge/", views.record_plateau, name="record-plateau"),
]
