"""The addresses of the site: each subject brings its own."""

from django.urls import include, path

from kits.config import views

handler400 = "kits.config.views.bad_request"
handler403 = "kits.config.views.forbidden"
handler404 = "kits.config.views.not_found"
handler500 = "kits.config.views.server_error"

urlpatterns = [
    path("", views.home, name="home"),
    # answered by a middleware before all others; see PROBES
    path("health", views.health, name="health"),
    path("metrics", views.metrics, name="metrics"),
    path("", include("kits.people.signing.urls")),
    path("", include("kits.documents.urls")),
    path("", include("kits.documents.pictures.urls")),
    path("", include("kits.fitment.urls")),
    path("", include("kits.bom.urls")),
    path("", include("kits.fitment.used.urls")),
    path("", include("kits.exchange.urls")),
    path("", include("kits.editing.urls")),
    path("", include("kits.survey.urls")),
    path("", include("kits.people.urls")),
    path("", include("kits.work.urls")),
    path("", include("vehicles.catalogue.urls")),
    path("", include("vehicles.climate.urls")),
]
