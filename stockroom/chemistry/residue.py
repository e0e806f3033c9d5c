"""What is left in a beaker, as plain data: written by the outcome, read by the waste rules."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Dissolved:
    """A substance in solution. `mol` is the total over all its forms (acetic acid counts acetate too).

    `formula` is ASCII ("Cu+2", "CH3COOH"); `cas` is "" where no CAS RN is known.
    """

    name: str
    formula: str
    cas: str
    mol: float


@dataclass(frozen=True)
class Solid:
    """A solid lying undissolved. `mol` counts formula units."""

    name: str
    formula: str
    cas: str
    mol: float


@dataclass(frozen=True)
class Gas:
    """A gas that has left the beaker. `volume_ml` is at the room's temperature and pressure."""

    name: str
    formula: str
    cas: str
    mol: float
    volume_ml: float


@dataclass(frozen=True)
class Organic:
    """An organic liquid or solute that takes no part in the equilibrium. `percent_w_w` of the whole."""

    name: str
    cas: str
    percent_w_w: float


@dataclass(frozen=True)
class Residue:
    """The beaker after the last step.

    `ph` is None where it could not be computed or means nothing (no water). `unknown` names what was added
    but could not be followed: rules must treat it as possibly hazardous. A waste container's content may be
    built by hand from the same fields.
    """

    volume_ul: int
    ph: float | None
    temperature_c: float = 25.0
    components: tuple[Dissolved, ...] = ()
    undissolved: tuple[Solid, ...] = ()
    gases: tuple[Gas, ...] = ()
    organics: tuple[Organic, ...] = ()
    unknown: tuple[str, ...] = ()

    def mol_per_litre(self, component: Dissolved) -> float:
        """Concentration of one component in mol/L.

        >>> Residue(500_000, 7.0).mol_per_litre(Dissolved("copper(II) ion", "Cu+2", "", 0.05))
        0.1
        """
        if self.volume_ul <= 0:
            raise ValueError("the residue has no volume: give the volume before asking for a concentration")
        return component.mol / (self.volume_ul * 1e-6)
