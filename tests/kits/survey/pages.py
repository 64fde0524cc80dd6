"""The form of many values as a browser would send it."""

import re
from html import unescape


def fields_of(response) -> dict[str, str]:
    """Every input of the form and what it holds."""
    body = response.content.decode()
    form = body[body.index('data-keep="survey') :]
    form = form[: form.index("</form>")]
    fields = {}
    for tag in re.findall(r"<input[^>]*>", form):
        name, value = re.search(r'name="([^"]+)"', tag), re.search(r'value="([^"]*)"', tag)
        fields[name[1]] = unescape(value[1]) if value else ""
    for name, options in re.findall(r'<select name="([^"]+)"[^>]*>(.*?)</select>', form, re.S):
        fields[name] = re.search(r'value="([^"]*)" selected', options)[1]
    fields.pop("csrfmiddlewaretoken", None)
    return fields


def input_of(response, label: str) -> str:
    """The name of the input with this label."""
    for tag in re.findall(r"<input[^>]*>", response.content.decode()):
        if f'aria-label="{label}"' in unescape(tag):
            return re.search(r'name="([^"]+)"', tag)[1]
    raise AssertionError(f"no input is called “{label}”")
