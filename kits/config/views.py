"""The pages that belong to no subject: sign in, home, health, errors."""

import os
import shutil
import sys
from collections.abc import Callable

from django.conf import settings
from django.contrib.auth import views as auth_views
from django.contrib.staticfiles.storage import staticfiles_storage
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone

from kits.config.busy import busy_page, is_busy
from kits.config.logs import request_id
from kits.fitment.queries import any_sizing, freshness, verdict_counts, worst_fitments
from kits.work.queries import standing
from vehicles.records.access import NO_ROLE, PUBLIC, SIGNED_IN, allow, roles_of
from vehicles.records.asked import own_address


class SignIn(auth_views.LoginView):
    """The page to sign in on; it leads on to addresses of this site only."""

    redirect_authenticated_user = True

    def get_redirect_url(self, request: HttpRequest | None = None) -> str:
        """Where to go afterwards; empty for home."""
        return own_address(super().get_redirect_url())


ROOM_BYTES = 50 * 1024**2
"""Less free room than for a large workbook and some papers is told as a failure."""

sign_in = allow(get={PUBLIC}, post={PUBLIC})(SignIn.as_view())
sign_out = allow(post={SIGNED_IN})(auth_views.LogoutView.as_view())


@allow(get={SIGNED_IN})
def home(request: HttpRequest) -> HttpResponse:
    """The first page: where the work stands, what to do first; for an account without a role one sentence."""
    roles = roles_of(request.user)
    if not roles:
        return render(request, "config/home.html", {"no_role": NO_ROLE})
    found = freshness(timezone.localdate())
    work = any_sizing() if found.is_stale else None
    counts, worst = verdict_counts(), worst_fitments()
    context = {"roles": roles, "counts": counts, "freshness": found, "work": work, "worst": worst}
    return render(request, "config/home.html", context)


@allow(get={PUBLIC})
def health(request: HttpRequest) -> JsonResponse:
    """Whether the site can work: 200 when all checks are ok, else 503. Names no host, path or version.

    Beside it how the works stand: seconds that the oldest one waits, and since the last sign of life of a running one.
    """
    results = {name: "ok" if works() else "failed" for name, works in CHECKS.items()}
    healthy = all(result == "ok" for result in results.values())
    return JsonResponse(
        {"status": "ok" if healthy else "failed", **results, "work": works_standing()},
        status=200 if healthy else 503,
        headers={"Cache-Control": "no-store"},
    )


def database_works() -> bool:
    """Whether the database answers."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
            return bool(cursor.fetchone() == (1,))
    except DatabaseError:
        return False


def works_standing() -> dict[str, int | None]:
    """Whole seconds, None where no work waits or runs; nothing when the database does not answer."""
    try:
        found, now = standing(), timezone.now()
    except DatabaseError:
        return {}
    times = {"oldest_waiting_s": found.oldest_waiting_at, "youngest_beat_s": found.youngest_beat_at}
    return {name: int((now - at).total_seconds()) if at else None for name, at in times.items()}


def migrations_applied() -> bool:
    """Whether the database has the tables this code expects."""
    try:
        executor = MigrationExecutor(connection)
        return not executor.migration_plan(executor.loader.graph.leaf_nodes())
    except DatabaseError:
        return False


def static_collected() -> bool:
    """Whether fingerprinted static files were collected; in development they come from their folders."""
    if not settings.PRODUCTION:
        return True
    return bool(getattr(staticfiles_storage, "hashed_files", None))


def files_can_be_kept() -> bool:
    """Whether the folder of files can be written and has room for a large workbook."""
    folder = settings.FILES_DIR
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return os.access(folder, os.W_OK) and shutil.disk_usage(folder).free > ROOM_BYTES
    except OSError:
        return False


CHECKS: dict[str, Callable[[], bool]] = {
    "database": database_works,
    "migrations": migrations_applied,
    "static": static_collected,
    "files": files_can_be_kept,
}


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """The page for a request that can't be understood."""
    return render(request, "errors/400.html", status=400)


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    """The page for what somebody may not do; the sentence comes from who refused it."""
    reason = str(exception) if isinstance(exception, PermissionDenied) else ""
    return render(request, "errors/403.html", {"reason": reason}, status=403)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """The page for a form whose token is missing or old. The cause is for the log, not for the reader."""
    sentence = (
        "This form was open for too long, or since before you signed in. Go back, reload and send again."
    )
    return render(request, "errors/403.html", {"reason": sentence}, status=403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """The page for an address or a thing that does not exist; the sentence comes from who looked for it."""
    said = exception.args[0] if exception.args else ""
    return render(request, "errors/404.html", {"reason": said if isinstance(said, str) else ""}, status=404)


def server_error(request: HttpRequest) -> HttpResponse:
    """The page for a fault of ours, or for a busy database; rendered without context processors, which may have failed.

    Django calls it within the except clause, whether a view or a middleware before or after it met the fault.
    """
    if is_busy(sys.exc_info()[1]):
        return busy_page(request)
    page = render_to_string("errors/500.html", {"request_id": request_id.get()})
    return HttpResponse(page, status=500)
