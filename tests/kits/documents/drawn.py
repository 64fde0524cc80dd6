"""A run of its own: every drawing and page of the sample, each as a hash of its text.

Called as `python -m tests.kits.documents.drawn`; two runs with different PYTHONHASHSEED must print the same.
"""

import hashlib
import os

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "kits.config.settings")

import django

django.setup()

from kits.documents.bar_charts import bars  # noqa: E402
from kits.documents.chart_style import LIGHT, WIDTH_PX  # noqa: E402
from kits.documents.charts import load_and_capacity  # noqa: E402
from kits.documents.checklist import checklist  # noqa: E402
from kits.documents.curve_charts import curves  # noqa: E402
from kits.documents.parts_list import parts_list  # noqa: E402
from kits.documents.render import document_html  # noqa: E402
from kits.documents.sizing_report import sizing_report  # noqa: E402
from kits.documents.sizing_sheet import sizing_sheet  # noqa: E402
from kits.topics.figure import Bar, Picture  # noqa: E402
from tests.kits.documents.sample import kit, of  # noqa: E402
from tests.kits.documents.test_charts import NIGHT, TOWN  # noqa: E402
from tests.kits.documents.test_curve_charts import PICTURE  # noqa: E402

BARS = Picture("b", "Charging", "words", "current, A", bars=(Bar("by day", 28.0, "28 A", 30.0),))


def main() -> None:
    """Print one line for each."""
    made = {
        "load chart": load_and_capacity([TOWN, NIGHT]),
        "curves": curves(PICTURE, LIGHT, WIDTH_PX),
        "bars": bars(BARS, LIGHT, WIDTH_PX),
        "parts list": document_html(parts_list(of(kit()), "x")),
        "checklist": document_html(checklist(of(kit()), "x")),
        "sizing sheet": document_html(sizing_sheet(of(), "x")),
        "sizing report": document_html(sizing_report(of(), "x")),
    }
    for name, text in made.items():
        print(f"{name}: {len(text)} {hashlib.sha256(text.encode()).hexdigest()}")


if __name__ == "__main__":
    main()
