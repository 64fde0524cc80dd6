"""manage.py reset_second_step: for whom the telephone is lost, and no manager can help."""

from argparse import ArgumentParser
from typing import Any

from django.contrib.auth.models import User
from django.core.management.base import BaseCommand, CommandError

from kits.people.signing.actions import reset_second_step, step_taken
from kits.people.signing.queries import has_second_step
from vehicles.records.access import CONSOLE


class Command(BaseCommand):
    """Take away the second step of one person."""

    help = "Take away the second step of somebody who has lost his telephone and his recovery codes."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The name."""
        parser.add_argument("name")

    def handle(self, *args: Any, **options: Any) -> None:
        """Take it away and say so."""
        user = User.objects.filter(username=options["name"]).first()
        if user is None:
            raise CommandError(f"There is no account called “{options['name']}”.")
        if not has_second_step(user):
            raise CommandError(f"{user} has no second step.")
        reset_second_step(actor=CONSOLE, user=user)
        self.stdout.write(step_taken(user))
