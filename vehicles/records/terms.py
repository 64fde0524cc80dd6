"""Option terms: which cars something applies to. OR within a feature, AND across features, "only" or "not"."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Terms:
    """Terms of one owner: feature code -> allowed options, feature code -> forbidden options. Empty: any car."""

    only: tuple[tuple[str, frozenset[str]], ...] = ()
    excluded: tuple[tuple[str, frozenset[str]], ...] = ()

    def applies(self, options: Mapping[str, str]) -> bool:
        """Whether a car with these options (feature -> option) is meant."""
        return all(options.get(feature) in allowed for feature, allowed in self.only) and all(
            options.get(feature) not in forbidden for feature, forbidden in self.excluded
        )

    def allows(self, feature: str, option: str) -> bool:
        """Whether a car with this option of the feature may be meant."""
        return option in dict(self.only).get(feature, (option,)) and option not in dict(self.excluded).get(
            feature, ()
        )

    def text(self) -> str:
        """The terms in words; "any" when there are none."""
        parts = [f"{feature} {', '.join(sorted(options))}" for feature, options in self.only]
        parts += [f"{feature} not {', '.join(sorted(options))}" for feature, options in self.excluded]
        return "; ".join(parts) or "any"


def terms_of(rows: Iterable[tuple[str, str, bool]]) -> Terms:
    """Terms from rows (feature code, option code, excluded)."""
    only: dict[str, set[str]] = {}
    excluded: dict[str, set[str]] = {}
    for feature, option, is_excluded in rows:
        (excluded if is_excluded else only).setdefault(feature, set()).add(option)
    return Terms(
        tuple((feature, frozenset(options)) for feature, options in sorted(only.items())),
        tuple((feature, frozenset(options)) for feature, options in sorted(excluded.items())),
    )
