"""Properties of the refrigerants, from tables that are built once and kept in a file.

Temperatures in °C, pressures in Pa absolute, density kg/m³, enthalpy J/kg, entropy J/(kg K), viscosity Pa s.
Arguments broadcast. Outside the tables a scalar raises Refusal and a batch marks the row with NaN; nothing
is extrapolated. Against CoolProp the tables differ by less than 1e-5 (see the tests). R-12 is known at
saturation only, enough to recognise and recover it.
"""

import hashlib
import json
import logging
import os
import tempfile
import zipfile
from functools import cache, cached_property, lru_cache
from importlib.metadata import version
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.gas.cycle_tables import CycleTables
from kits.sizing.gas.spline import Axis, Curves, Surfaces
from vehicles.physics.arrays import FloatArray, answer, floats

logger = logging.getLogger(__name__)

CONFIG_FILE = Path(__file__).parent / "data" / "refrigerants.json"
CACHE_FOLDER = Path(__file__).resolve().parents[3] / "var" / "cache" / "refrigerants"
ZERO_C_K = 273.15
ROUNDING_K = 1e-6
"""A superheat this far below zero is rounding, not a wet state."""
ROUNDING_J_KG = 1e-2

_OUTSIDE = "This state lies outside the property tables of {}."


class Saturation(NamedTuple):
    """Both phases at saturation."""

    p_pa: FloatArray
    rho_l: FloatArray
    rho_v: FloatArray
    h_l: FloatArray
    h_v: FloatArray
    s_l: FloatArray
    s_v: FloatArray
    mu_l: FloatArray
    mu_v: FloatArray


class Gas(NamedTuple):
    """Superheated vapour."""

    rho: FloatArray
    h: FloatArray
    s: FloatArray
    mu: FloatArray


class Liquid(NamedTuple):
    """Compressed liquid."""

    rho: FloatArray
    h: FloatArray
    mu: FloatArray


class Isentropic(NamedTuple):
    """The end of an isentropic change; when it ends wet: superheat 0, density and viscosity of the vapour."""

    superheat_k: FloatArray
    h: FloatArray
    rho: FloatArray
    mu: FloatArray


class Refrigerant:
    """One refrigerant: table look-ups with one range mask."""

    def __init__(self, name: str, condensing_to_c: float, tables: dict[str, Curves | Surfaces]) -> None:
        self.name = name
        self.condensing_to_c = condensing_to_c
        self._tables: dict[str, Any] = dict(tables)
        saturation = self._tables["saturation"]
        axis = saturation.axis
        # pressure, and the edges that entropy and enthalpy are measured from, are asked most often
        self._tables["ln_p"] = saturation.only(0)
        self._tables["edges"] = saturation.only(3, 6, 7)
        self.saturation_from_c: float = axis.start
        self.saturation_to_c: float = axis.stop
        self.least_pa, self.most_pa = (float(self.p_sat_pa(t)) for t in (axis.start, axis.stop))

    @property
    def only_saturation(self) -> bool:
        """Whether gas and liquid states are unknown."""
        return "gas" not in self._tables

    @cached_property
    def for_cycle(self) -> CycleTables:
        """The tables as the balance asks them, without checks of range."""
        return CycleTables(self._tables)

    def _look_up(self, table: str, *where: ArrayLike) -> tuple[FloatArray, ...]:
        if table not in self._tables:
            raise ValueError(f"{self.name} is known at saturation only.")
        axes: Any = [floats(w) for w in where]
        if any(a.shape != axes[0].shape for a in axes):
            axes = np.broadcast_arrays(*axes)
        found = self._tables[table](*(a.ravel() for a in axes))
        if axes[0].ndim == 0:
            return tuple(answer(q[0], np.isfinite(q[0]), _OUTSIDE.format(self.name)) for q in found)
        return tuple(found.reshape(len(found), *axes[0].shape))

    def p_sat_pa(self, t_c: ArrayLike) -> FloatArray:
        """Saturation pressure."""
        pressure: FloatArray = np.exp(self._look_up("ln_p", t_c)[0])
        return pressure

    def t_sat_c(self, p_pa: ArrayLike) -> FloatArray:
        """Saturation temperature."""
        p = floats(p_pa)
        return self._look_up("t_sat", np.log(np.where(p > 0, p, np.nan)))[0]

    def saturation(self, t_c: ArrayLike) -> Saturation:
        """Both phases at a saturation temperature."""
        ln_p, rho_l, h_l, s_l, mu_l, rho_v, h_v, s_v, mu_v = self._look_up("saturation", t_c)
        return Saturation(
            p_pa=np.exp(ln_p),
            rho_l=rho_l,
            rho_v=rho_v,
            h_l=h_l,
            h_v=h_v,
            s_l=s_l,
            s_v=s_v,
            mu_l=mu_l,
            mu_v=mu_v,
        )

    def vapour(self, t_sat_c: ArrayLike, superheat_k: ArrayLike) -> Gas:
        """Vapour at the pressure of a saturation temperature, superheated by so many kelvin (0 to 190)."""
        return Gas(*self._look_up("gas", t_sat_c, _root(superheat_k, ROUNDING_K)))

    def liquid(self, t_sat_c: ArrayLike, subcooling_k: ArrayLike) -> Liquid:
        """Liquid at the pressure of a saturation temperature, subcooled by so many kelvin (0 to 40)."""
        return Liquid(*self._look_up("liquid", t_sat_c, _root(subcooling_k, ROUNDING_K)))

    def isentropic(self, t_sat_c: ArrayLike, s_j_kgk: ArrayLike) -> Isentropic:
        """Superheat and enthalpy at the pressure of a saturation temperature with a given entropy.

        Below the entropy of saturated vapour the state is wet: superheat 0, h = h_v - T_sat·(s_v - s).
        """
        s_l, h_v, s_v = self._look_up("edges", t_sat_c)
        s = floats(s_j_kgk)
        highest = s_v + self._tables["by_entropy"].y_axis.stop ** 2
        above = np.where((s >= s_l) & (s <= highest), s, np.nan) - s_v
        superheat, rise, rho, mu = self._look_up("by_entropy", t_sat_c, np.sqrt(np.maximum(above, 0.0)))
        wet = (floats(t_sat_c) + ZERO_C_K) * np.minimum(above, 0.0)
        return Isentropic(np.maximum(superheat, 0.0), h_v + rise + wet, rho, mu)

    def superheat_from_enthalpy(self, t_sat_c: ArrayLike, h_j_kg: ArrayLike) -> FloatArray:
        """Superheat, K, of gas with this enthalpy at the pressure of a saturation temperature."""
        above = floats(h_j_kg) - self._look_up("edges", t_sat_c)[1]
        superheat = self._look_up("by_enthalpy", t_sat_c, _root(above, ROUNDING_J_KG))[0]
        return np.maximum(superheat, 0.0)


def _root(distance: ArrayLike, rounding: float) -> FloatArray:
    """Square root of the distance from saturation; NaN on the wrong side of it."""
    d = floats(distance)
    root: FloatArray = np.sqrt(np.where(d >= -rounding, np.maximum(d, 0.0), np.nan))
    return root


def known_refrigerants() -> list[str]:
    """The names that `refrigerant` answers to."""
    return list(_config()["refrigerants"])


def refrigerant(name: str, folder: Path = CACHE_FOLDER) -> Refrigerant:
    """The refrigerant of this name, with its property tables: read from a file, or built and kept there if absent.

    Formula: cubic splines through CoolProp's properties over saturation temperature, superheat and subcooling.
    Parameters: name, such as R-134a; folder, where the tables are kept. The file's name carries CoolProp's version and
    the grid, so that another version or grid makes another file.
    Returns: the refrigerant; pressures in Pa absolute, temperatures in °C, density in kg/m³, enthalpy in J/kg. A name
    that is not known is refused.
    Validity: inside the tables; nothing is extrapolated. R-12 at saturation only.
    Source: CoolProp, whose equations of state name their own sources.
    Check: against CoolProp within 1e-5; R-134a boils at 0 °C under 2.93 bar.

    >>> round(float(refrigerant("R-134a").p_sat_pa(0.0)) / 1e5, 2)
    2.93
    """
    return _load(name, folder)


@cache
def tables_key(name: str) -> str:
    """What tells one state of a gas's tables from another.

    Formula: CoolProp's version, and the first 12 digits of the SHA-256 of the file format's number, the grid and the
    gas's entry.
    Parameters: name, such as R-134a.
    Returns: a text; empty for a gas that is not known.
    Validity: two states with the same key have the same tables.
    Source: definition.
    Check: a gas that is not known has none.

    >>> tables_key("R-999")
    ''
    """
    config = _config()
    entry = config["refrigerants"].get(name)
    return "" if entry is None else _key(config, entry)


@lru_cache(maxsize=16)
def _load(name: str, folder: Path) -> Refrigerant:
    config = _config()
    entry = config["refrigerants"].get(name)
    if entry is None:
        raise ValueError(f"Refrigerant {name} is not known; known are {', '.join(config['refrigerants'])}.")
    path = folder / f"{name}-{_key(config, entry)}.npz"
    tables = _read(path)
    if tables is None:
        from kits.sizing.gas.refrigerant_build import build_tables

        tables = build_tables(
            entry["fluid"], config["grid"], entry["saturation_to_c"], entry["only_saturation"]
        )
        _write(path, tables)
    return Refrigerant(name, entry["condensing_to_c"], tables)


def _config() -> dict[str, Any]:
    config: dict[str, Any] = json.loads(CONFIG_FILE.read_text(encoding="utf-8"))
    return config


def _key(config: dict[str, Any], entry: dict[str, Any]) -> str:
    what = json.dumps([config["schema"], config["grid"], entry], sort_keys=True)
    return f"coolprop-{version('CoolProp')}-{hashlib.sha256(what.encode()).hexdigest()[:12]}"


def _write(path: Path, tables: dict[str, Curves | Surfaces]) -> None:
    """Write to a neighbour and rename, so that no other process ever reads half a file."""
    arrays: dict[str, Any] = {}
    for name, table in tables.items():
        axes = [table.axis] if isinstance(table, Curves) else [table.x_axis, table.y_axis]
        arrays[f"{name}.axes"] = np.array([[a.start, a.step, a.count] for a in axes])
        arrays[f"{name}.coefficients"] = table.coefficients
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, neighbour = tempfile.mkstemp(dir=path.parent, suffix=".npz")
        with os.fdopen(handle, "wb") as file:
            np.savez(file, **arrays)
        # a temporary file is private; the tables may be read by every process of the installation
        os.chmod(neighbour, 0o644)
        os.replace(neighbour, path)
    except OSError as problem:
        # the tables are good, they only have to be computed again next time
        logger.warning("The refrigerant tables could not be kept in %s: %s", path.parent, problem)


def _read(path: Path) -> dict[str, Curves | Surfaces] | None:
    """The tables of a file; None when there is none, or when it is damaged."""
    try:
        with np.load(path, allow_pickle=False) as file:
            arrays = {name: file[name] for name in file.files}
        names = sorted({name.split(".")[0] for name in arrays})
        return {name: _table(arrays[f"{name}.axes"], arrays[f"{name}.coefficients"]) for name in names}
    except FileNotFoundError:
        return None
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile) as problem:
        logger.warning("The refrigerant tables in %s can't be read and are built again: %s", path, problem)
        return None


def _table(axes: FloatArray, table_coefficients: FloatArray) -> Curves | Surfaces:
    made = [Axis(float(start), float(step), int(count)) for start, step, count in axes]
    if len(made) == 1:
        return Curves(made[0], table_coefficients)
    return Surfaces(made[0], made[1], table_coefficients)
