"""How a code stands in an address: a code may hold a slash, an address part may not."""

from django.urls import register_converter


class CodeConverter:
    """A code as one part of a path; its slashes are written "~", which no code holds."""

    regex = "[^/\\x00]+"

    def to_python(self, value: str) -> str:
        """The code."""
        return value.replace("~", "/")

    def to_url(self, value: str) -> str:
        """The part of the path."""
        return str(value).replace("/", "~")


register_converter(CodeConverter, "code")
