"""Defects of parts, entries, hoses, joints and wires."""

from datetime import date
from decimal import Decimal

from kits.bom.models import Joint
from kits.editing.changes import RowEdit
from tests.kits.findings.defect import Defect, add, change, edits, remove

K = "s4-dash"
LEFT, RIGHT = "CP12L TR12L", "CP12R"


def _without_joint(code):
    """A joint that steps still name can't be taken out on screen; a workbook of the kit may."""

    def spoil(manager):
        assert Joint.objects.get(kit__code="S4-DASH", code=code).delete()

    return spoil


POSITIONS = (
    Defect(
        "two entries in a position",
        add("Entries", kit="S4-DASH", position=115, number=2, part_number="BM10-030", quantity=Decimal(1)),
        "position-overlap", "CP12L CP6R", "option:body", "entries", (K, 115, 2),
    ),
    Defect(
        "an option that no entry covers", remove("Entries", K, 107, 2), "position-gap", "CT12R TR6L",
        "part_number", "entries", spared="CP12L", given=(("position", "107"),),
    ),
    Defect(
        "a car that no hose run covers", remove("Hose runs", K, 402, 2), "position-gap", RIGHT, "route",
        "hose-runs", line="S4", spared="CP12L", given=(("position", "402"),),
    ),
    Defect(
        "an entry that runs out before another follows",
        change("Entries", K, 222, 1, in_force_until=date(2126, 1, 1)),
        "position-gap", "CP12L", "part_number", "entries", given=(("position", "222"),),
    ),
    Defect(
        "options that no car of the line has together",
        change("Entries", K, 408, 1, option__electrics="6v", option__radiator="wide"),
        "terms-dead", "CP12L CT12R", "option:carburettors", "entries", (K, 408, 1),
    ),
    Defect(
        "a superseded part is still chosen",
        add("Supersessions", old="BM30-240", new="BM30-230", in_force_from=date(2026, 1, 1)),
        "part-superseded", "CP12L", "part_number", "entries", (K, 102, 1),
    ),
)  # fmt: skip

PARTS = (
    Defect(
        "a prototype in a production box", change("Revisions", "bm10-285", "a", maturity="prototype"),
        "part-prototype", "CP12L CP6R", "maturity", "revisions", ("bm10-285", "a"),
    ),
    Defect(
        "a withdrawn revision", change("Revisions", "bm10-285", "a", maturity="withdrawn"),
        "part-withdrawn", "CP12L", "maturity", "revisions", ("bm10-285", "a"),
    ),
    Defect(
        "a revision that is not in force yet",
        change("Revisions", "bm30-240", "a", in_force_from=date(2126, 1, 1)),
        "part-no-revision", "CP12L", "in_force_from", "revisions", ("bm30-240", "a"),
    ),
    Defect(
        "one O-ring too few", change("Entries", K, 410, 1, quantity=Decimal(3)), "o-ring-missing", "CP12L CP6R",
        "quantity", "entries", (K, 410, 1),
    ),
    Defect(
        "an O-ring that the oil attacks", change("O-rings", "bm80-008", "a", rubber="NBR"), "o-ring-rubber", "CP12L",
        "rubber", "o-rings", ("bm80-008", "a"),
    ),
    Defect(
        "a compressor filled with another oil", change("Compressors", "bm10-146", "a", oil_family="ester"), "oil-mixed",
        "CP12L CP6R", "oil", "kits", (K,),
    ),
    Defect(
        "oil of another grade to add", change("Oils", "bm80-046", "a", oil_grade=100), "oil-mixed", "CP12L", "oil",
        "kits", (K,),
    ),
    Defect(
        "oil of no known family", change("Kits", K, oil_family=""), "oil-unknown", "CP12L CP6R", "oil_family", "kits",
        (K,),
    ),
    Defect(
        "a drier that lies", change("Driers", "bm10-030", "a", upright=False), "drier-lying", "CP12L", "upright",
        "driers", ("bm10-030", "a"),
    ),
    Defect(
        "a switch that opens elsewhere than the kit says",
        change("Switches", "bm10-031", "a", high_cut_out_bar_g=29.0),
        "pressure-switch", "CP12L", "high_cut_out_bar_g", "switches", ("bm10-031", "a"),
    ),
    Defect(
        "a fan that starts above the reset", change("Kits", K, fan_on_bar_g=23.0), "pressure-chain", "CP12L",
        "fan_on_bar_g", "kits", (K,),
    ),
    Defect(
        "a cut-out that does not fit the gas", change("Kits", K, high_cut_out_bar_g=25.0), "pressure-gas", "CP12L",
        "high_cut_out_bar_g", "kits", (K,),
    ),
)  # fmt: skip

HOSES = (
    Defect(
        "an end of the wrong size", change("Hose runs", K, 400, 1, end_b="BM50-062"), "hose-end-size", LEFT,
        "end_b", "hose-runs", (K, 400, 1), "S4", RIGHT,
    ),
    Defect(
        "a ferrule for another wall", edits(
            RowEdit("change", "Hose ends", ("bm50-061", "a"), {"ferrule_family": "standard wall"})
        ),
        "hose-ferrule", RIGHT, "end_a", "hose-runs", (K, 402, 2), "S4",
    ),
    Defect(
        "a hose without a barrier", change("Hoses", "bm50-010", "a", barrier=False), "hose-barrier", RIGHT, "hose",
        "hose-runs", (K, 403, 2), "S4",
    ),
    Defect(
        "a bend tighter than the hose bears", change("Routes", "suc-l", tightest_bend_mm=60.0), "hose-bend", LEFT,
        "tightest_bend_mm", "routes", ("suc-l",), "S4", RIGHT,
    ),
    Defect(
        "a service port that the hose sheet hides", change("Hose runs", K, 403, 1, service_port=""),
        "hose-service-port", LEFT, "service_port", "hose-runs", (K, 403, 1), "S4", RIGHT,
    ),
    Defect(
        "an end that is crimped at the car and nobody says how", remove("Crimps", "bm50-061", "a", "reduced wall"),
        "crimp-missing", LEFT, "die", "crimps", spared=RIGHT,
        given=(("part_number", "BM50-061"), ("part_revision", "A"), ("wall_family", "reduced wall")),
    ),
    Defect(
        "a hose with an end for another side", change("Hose runs", K, 403, 1, end_b="BM50-062"), "hose-sides", LEFT,
        "end_b", "hose-runs", (K, 403, 1), "S4", RIGHT,
    ),
    Defect(
        "a hose that bears less than the plant may reach", change("Hoses", "bm50-008", "a", rated_pressure_bar_g=25.0),
        "hose-pressure", RIGHT, "hose", "hose-runs", (K, 400, 2), "S4",
    ),
    Defect(
        "hoses that hang free", change("Positions", K, 405, hold_spacing_mm=150.0), "clip-count", "CP12L CP12R",
        "quantity", "entries", (K, 405, 3),
    ),
    Defect(
        "an end that does not say what it adds", change("Hose ends", "bm50-064", "a", adds_mm=None),
        "hose-end-length", "CP12L CP12R", "adds_mm", "hose-ends", ("bm50-064", "a"),
    ),
)  # fmt: skip

JOINTS = (
    Defect(
        "a joint that is not there", _without_joint("J5"), "circuit-open", "CP12L CP12R", "position_b", "joints",
        given=(("position_a", "115"), ("port_a", "OUT")),
    ),
    Defect(
        "a joint to a port that no part has", change("Joints", K, "j3", port_a="OUTLET"), "joint-port", "CP12L",
        "port_a", "joints", (K, "j3"),
    ),
    Defect(
        "ports of two sizes in one joint", change("Ports", "bm10-180", "a", "out", size="#8"), "joint-mismatch",
        "CP12L", "port_b", "joints", (K, "j3"),
    ),
    Defect(
        "copper on aluminium", change("Ports", "bm10-180", "a", "in", material="copper"), "joint-material", "CP12L",
        "port_b", "joints", (K, "j2"),
    ),
    Defect(
        "no service port on the low side", remove("Ports", "bm50-105", "a", "low"), "service-port-missing", LEFT,
        "end_a", "hose-runs", (K, 403, 1), "S4",
    ),
    Defect(
        "a water hose that nothing closes", change("Joints", K, "h2", clip_position=None), "joint-no-clip",
        "CP12L CP6R", "clip_position", "joints", (K, "h2"),
    ),
    Defect(
        "one clip too few", change("Entries", K, 211, 1, quantity=1), "clip-missing", "CP12L", "quantity", "entries",
        (K, 211, 1), spared="CP6R",
    ),
    Defect(
        "a vent that no duct reaches", _without_joint("A8"), "port-unjoined", "CP12L", "position_b", "joints",
        given=(("position_a", "303"), ("port_a", "B")),
    ),
)  # fmt: skip

WIRES = (
    Defect(
        "a wire that leads nobody knows where", change("Circuits", K, 500, 14, leads_to=""), "circuit-end-unknown",
        "CP12L CP6R", "leads_to", "circuits", (K, 500, 14), "S4",
    ),
    Defect(
        "a diode the wrong way round on positive earth", change("Circuits", K, 500, 22, diode_band="from"),
        "diode-reversed", "CP6L TR6L", "diode_band", "circuits", (K, 500, 22), "S4", "CP12L",
    ),
    Defect(
        "a fuse that outlives its wire", change("Circuits", K, 500, 6, fuse_a=25.0), "fuse-over-wire", "CP12L CP6R",
        "fuse_a", "circuits", (K, 500, 6), "S4",
    ),
    Defect(
        "a fuse that blows at once", change("Circuits", K, 500, 14, fuse_a=15.0), "fuse-under-current", "CP12L",
        "fuse_a", "circuits", (K, 500, 14), "S4",
    ),
    Defect(
        "a wire too thin for its current", change("Circuits", K, 500, 16, section_mm2=1.0), "wire-over-current",
        "CP12L", "section_mm2", "circuits", (K, 500, 16), "S4",
    ),
)  # fmt: skip
