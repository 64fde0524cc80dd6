"""The address that takes a step of a filling."""

from django.urls import path

from kits.survey.plateau import views

urlpatterns = [path("", views.add_step, name="add-plateau-step")]
