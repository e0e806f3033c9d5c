"""GHS classes of a mixture from its composition, with the reasoning line by line and what was missing.

The order: what is measured on the mixture; specific concentration limits; generic limits and adding up.
The supplier's safety data sheet and local rules come first; a calculation never replaces them.
"""

from dataclasses import dataclass, replace

from stockroom.safety import additive, physical
from stockroom.safety.acute import acute_toxicity
from stockroom.safety.concentrations import one_by_one
from stockroom.safety.label import LabelElements, label_elements, worst_of_each
from stockroom.safety.mixture import (
    EU,
    INHALATION_FORMS,
    STATES,
    Constituent,
    Finding,
    Mixture,
    MixtureError,
    figure,
    reaches,
)
from stockroom.safety.supplement import supplemental

__all__ = ["WATER", "Classification", "Constituent", "Finding", "MixtureError", "classify", "worst_allowed"]

WATER = Constituent("water", 100.0, (), cas=physical.WATER_CAS)

_SOURCE_WORST = (
    "Rule of this stockroom: what nobody has classified is the worst that its kind of storage allows"
)
_ALONE = (
    ("resp_sens", "Respiratory sensitization"),
    ("skin_sens", "Skin sensitization"),
    ("muta", "Mutagenicity"),
    ("carc", "Carcinogenicity"),
    ("repr", "Reproductive toxicity"),
    ("stot_se_1", "Organ toxicity, single exposure"),
    ("stot_se_2", "Organ toxicity, single exposure"),
    ("stot_re", "Organ toxicity, repeated exposure"),
)

_HARMFUL = ("acute_tox_oral_4", "eye_dam_1", "skin_irrit_2", "skin_sens_1")
_TOXIC = (
    "acute_tox_oral_1",
    "acute_tox_dermal_1",
    "acute_tox_inhalation_1",
    "resp_sens_1",
    "muta_1b",
    "carc_1b",
    "repr_1b",
    "stot_se_1",
    "stot_re_1",
    "aquatic_acute_1",
    "aquatic_chronic_1",
)
_WORST_OF_KIND = {
    "general": _HARMFUL,
    "flammables": ("flam_liq_1", "flam_sol_1", *_HARMFUL),
    "acids": ("skin_corr_1a", "eye_dam_1", "met_corr_1", "stot_se_3_irritation", "acute_tox_oral_4"),
    "bases": ("skin_corr_1a", "eye_dam_1", "met_corr_1", "stot_se_3_irritation", "acute_tox_oral_4"),
    "oxidisers": ("ox_liq_1", "ox_sol_1", *_HARMFUL),
    "toxics": (*_TOXIC, *_HARMFUL),
    "gas": ("flam_gas_1a", "press_gas_compressed", "acute_tox_inhalation_1"),
}


@dataclass(frozen=True)
class Classification:
    """What a mixture is.

    classes: hazard class keys that follow from what is known, worst of each class only.
    assumed: keys that the unclassified part may have at worst; rules of storage count them, a label does not.
    complete: False where a constituent is not classified yet; then an empty ``classes`` is not "no hazard".
    reasons: the reasoning, one Finding a line. missing: data that would have been needed, in plain words.
    notes: further lines for the label. unclassified_percent: share of the mixture nobody has classified.
    """

    classes: tuple[str, ...]
    assumed: tuple[str, ...]
    complete: bool
    reasons: tuple[Finding, ...]
    missing: tuple[str, ...]
    notes: tuple[str, ...]
    unclassified_percent: float

    @property
    def cautious(self) -> tuple[str, ...]:
        """Known and assumed classes together: what rules of storage, waste and segregation should use."""
        return worst_of_each((*self.classes, *self.assumed))

    def label(self, precautions: int | None = 6) -> LabelElements:
        """Label elements of the known classes, with "not classified yet" where part of it is not."""
        return label_elements(self.classes, precautions, complete=self.complete)


def worst_allowed(kind: str) -> tuple[str, ...]:
    """Hazard classes that an unclassified thing of this kind of storage may have at worst.

    A kind that says nothing of the hazard ("", "cold", "ventilated", "outside", "waste") allows all of them.
    """
    if kind in _WORST_OF_KIND:
        return worst_of_each(_WORST_OF_KIND[kind])
    return worst_of_each(key for keys in _WORST_OF_KIND.values() for key in keys)


def classify(
    constituents: tuple[Constituent, ...] | list[Constituent],
    *,
    solvent: Constituent | None = None,
    state: str = "liquid",
    ph: float | None = None,
    reserve: float | None = None,
    flash_point_c: float | None = None,
    boiling_point_c: float | None = None,
    viscosity_mm2_s: float | None = None,
    limits: str = EU,
) -> Classification:
    """GHS classes of a mixture.

    constituents: with percentages by mass (by volume for gases); ``solvent`` (such as WATER) takes what is
    left to 100 %. Without a solvent what is left counts as not classified. The rest as in Mixture.
    Raises MixtureError for a percentage or a sum that cannot be, or an unknown state.
    Sources: UN GHS Rev. 8 part 3; 29 CFR 1910.1200 App. A and B (2024 revision); Regulation (EC) 1272/2008
    Annex VI.
    """
    parts = _made_whole(tuple(constituents), solvent, state)
    known = tuple(part for part in parts if part.percent is not None)
    mixture = Mixture(known, state, ph, reserve, flash_point_c, boiling_point_c, viscosity_mm2_s, limits)
    findings = [*_strength_unknown(parts), *_not_classified(known)]
    if len(parts) == 1 and parts[0].classes is not None:
        findings += [_neat(parts[0])]
    else:
        for rule in (
            physical.flammable_liquid,
            physical.oxidising,
            physical.other_physical,
            acute_toxicity,
            additive.skin,
            additive.eyes,
            additive.extreme_ph,
            _alone,
            additive.airways_and_narcosis,
            additive.aspiration,
            additive.aquatic,
        ):
            findings += rule(mixture)
        findings = _sub_category_stands(findings)
        findings += _corrosion_is_eye_damage(findings)
    return _summed_up(findings, parts)


def _made_whole(
    parts: tuple[Constituent, ...], solvent: Constituent | None, state: str
) -> tuple[Constituent, ...]:
    if state not in STATES:
        raise MixtureError(f'"{state}" is not a state: use liquid, solid or gas.')
    for part in parts:
        if part.percent is not None and not 0 <= part.percent <= 100:
            raise MixtureError(f"{part.name}: {part.percent} % cannot be. Give a share between 0 and 100 %.")
        if part.inhalation_form not in INHALATION_FORMS:
            raise MixtureError(f'{part.name}: inhaled as "{part.inhalation_form}"? Use gas, vapour or mist.')
    total = sum(part.percent or 0 for part in parts)
    if total > 100.5:
        raise MixtureError(
            f"The constituents add up to {figure(total)} %. Correct the amounts: at most 100 %."
        )
    rest = max(0.0, 100 - total)
    if solvent is not None:
        return (*parts, replace(solvent, percent=rest)) if rest else parts
    if rest > 0.5 and all(part.percent is not None for part in parts):
        return (*parts, Constituent("rest, not stated", rest, None))
    return parts


def _strength_unknown(parts: tuple[Constituent, ...]) -> list[Finding]:
    return [
        Finding(
            f"{part.name}: strength not known, so its own classes are taken undiluted",
            _SOURCE_WORST,
            part.classes or (),
            f"strength of {part.name}",
        )
        for part in parts
        if part.percent is None
    ]


def _not_classified(parts: tuple[Constituent, ...]) -> list[Finding]:
    return [
        Finding(
            f"{part.name} {figure(part.percent)} %: not classified yet, counted as the worst its kind allows",
            _SOURCE_WORST,
            (),
            f"classes of {part.name}",
        )
        for part in parts
        if _open(part)
    ]


def _open(part: Constituent) -> bool:
    # 0.1 % is the lowest generic cut-off of the GHS (Table 1.5.1); what is kept among the toxics counts.
    if part.classes is not None:
        return False
    return part.percent is None or part.kind == "toxics" or reaches(part.percent, 0.1)


def _neat(part: Constituent) -> Finding:
    return Finding(
        f"{part.name} undiluted: its own classes", "The constituent's own classification", part.classes
    )


def _alone(mixture: Mixture) -> list[Finding]:
    found = []
    for start, words in _ALONE:
        for part in mixture.constituents:
            line = one_by_one(part, start)
            if line is not None:
                found.append(replace(line, text=f"{words}: {line.text}"))
    return found


def _sub_category_stands(findings: list[Finding]) -> list[Finding]:
    """Category 1 without a sub-category says nothing more where another finding gives one."""
    known = {key for line in findings for key in line.classes} & {f"skin_corr_1{letter}" for letter in "abc"}
    if not known:
        return findings
    return [
        replace(line, classes=tuple(key for key in line.classes if key != "skin_corr_1")) for line in findings
    ]


def _corrosion_is_eye_damage(findings: list[Finding]) -> list[Finding]:
    if any(key.startswith("skin_corr") for line in findings for key in line.classes):
        text = "What corrodes the skin damages the eye"
        return [Finding(text, "29 CFR 1910.1200 App. A.3.4; UN GHS 3.3.2; from memory", ("eye_dam_1",))]
    return []


def _summed_up(findings: list[Finding], parts: tuple[Constituent, ...]) -> Classification:
    unknown = [part for part in parts if _open(part)]
    return Classification(
        classes=worst_of_each(key for line in findings for key in line.classes),
        assumed=worst_of_each(key for part in unknown for key in worst_allowed(part.kind)),
        complete=not unknown,
        reasons=tuple(findings),
        missing=tuple(dict.fromkeys(line.missing for line in findings if line.missing)),
        notes=tuple(row.text for row in supplemental((part.cas, part.percent) for part in parts)),
        unclassified_percent=sum(part.percent or 0 for part in unknown),
    )
