"""manage.py make_user: an account with a role."""

from argparse import ArgumentParser
from getpass import getpass
from typing import Any

from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from kits.people.actions import make_user
from vehicles.records.access import CONSOLE, ROLES


class Command(BaseCommand):
    """Make an account; the password is asked for and not shown."""

    help = "Make an account with one role; asks for its password."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The name and the role."""
        parser.add_argument("name")
        parser.add_argument("--role", required=True, choices=ROLES)

    def handle(self, *args: Any, **options: Any) -> None:
        """Ask for the password, check it, make the account."""
        password = getpass("Password: ")
        try:
            validate_password(password, User(username=options["name"]))
            user = make_user(actor=CONSOLE, name=options["name"], password=password, role=options["role"])
        except ValidationError as problem:
            raise CommandError(" ".join(problem.messages)) from None
        self.stdout.write(f"{user.get_username()} can now sign in as {options['role']}.")
