"""What a mixture is, for the rules that classify it: plain data, nothing decided here."""

from dataclasses import dataclass

INHALATION_FORMS = ("gas", "vapour", "mist")
STATES = ("liquid", "solid", "gas")


#: whose concentration limits hold
EU, US = "EU", "US"


class MixtureError(ValueError):
    """A mixture that cannot be: the message says what to change."""


@dataclass(frozen=True)
class Constituent:
    """One chemical of a mixture.

    percent: % (w/w), for gases % (v/v); None where the strength is not known ("saturated").
    classes: hazard class keys of the chemical, or of its strongest form on file; None: not classified yet.
    cas: finds its specific concentration limits and M-factors.
    kind: where it would be stored (general, flammables, acids, bases, oxidisers, toxics ...): what an
        unclassified constituent may be at worst, and whether it is a strong acid or base.
    ate: acute toxicity estimates by route, (("oral", 300.0),): "oral" and "dermal" in mg/kg, "gas" in ppm,
        "vapour" and "mist" in mg/L over 4 h. Without one the class is converted.
    no_data: routes for which a classified constituent has no usable data.
    inhalation_form: in which form a class for inhalation is meant; "mist" (also dust) is the strictest.
    m_acute, m_chronic: M-factors for aquatic category 1; None looks in the table, then takes 10.
    """

    name: str
    percent: float | None
    classes: tuple[str, ...] | None
    cas: str = ""
    kind: str = ""
    ate: tuple[tuple[str, float], ...] = ()
    no_data: tuple[str, ...] = ()
    inhalation_form: str = "mist"
    m_acute: float | None = None
    m_chronic: float | None = None

    def has(self, *starts: str) -> bool:
        """Whether any of its classes begins with one of ``starts``."""
        return any(key.startswith(starts) for key in self.classes or ())


@dataclass(frozen=True)
class Finding:
    """One line of the reasoning: what it says, its source, the classes it gives, the datum it lacked."""

    text: str
    source: str
    classes: tuple[str, ...] = ()
    missing: str = ""


@dataclass(frozen=True)
class Mixture:
    """Constituents of known strength and the properties measured on the whole; None where not measured.

    reserve: g of NaOH (for bases: its equivalent in acid) per 100 g of mixture to bring it to pH 4 (from
    below) or pH 10 (from above), as in Young, How, Walker and Worth (1988).
    viscosity_mm2_s: kinematic viscosity at 40 °C.
    limits: EU or US, whose limits for skin and eyes hold: the specific ones of the EU list, or the generic
        ones of 29 CFR 1910.1200 App. A wherever those are stricter.
    """

    constituents: tuple[Constituent, ...]
    state: str = "liquid"
    ph: float | None = None
    reserve: float | None = None
    flash_point_c: float | None = None
    boiling_point_c: float | None = None
    viscosity_mm2_s: float | None = None
    limits: str = EU

    @property
    def extreme_ph(self) -> bool:
        """UN GHS 3.2.3.1.2: at most 2 or at least 11.5."""
        return self.ph is not None and (self.ph <= 2 or self.ph >= 11.5)


def reaches(value: float, limit: float) -> bool:
    """``value >= limit``, a rounding error of binary fractions aside."""
    return value >= limit - 1e-9


def figure(value: float) -> str:
    """A number as one would write it, four figures at most: 0.36, 25, 10000."""
    return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.4g}"
