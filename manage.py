"""Start a management command."""

import os
import sys


def main() -> None:
    """Run the command on the command line; a refused setting ends in one plain sentence."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "kits.config.settings")
    from django.core.management import execute_from_command_line

    from kits.config.env import BadEnvironment

    try:
        execute_from_command_line(sys.argv)
    except BadEnvironment as problem:
        sys.exit(str(problem))


if __name__ == "__main__":
    main()
