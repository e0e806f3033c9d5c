"""The label module: its own table is whole, and the rules do what its docstrings say."""

import pytest

from stockroom.safety.label import (
    HAZARD_CLASSES,
    NOT_CLASSIFIED,
    PICTOGRAM_NAMES,
    PRECAUTIONS,
    LabelError,
    label_elements,
    worst_of_each,
)


def test_every_row_is_whole():
    for row in HAZARD_CLASSES.values():
        assert row.signal_word in {"Danger", "Warning", ""}, row.key
        assert set(row.pictograms) <= set(PICTOGRAM_NAMES), row.key
        assert set(row.p_codes) <= set(PRECAUTIONS), row.key
        assert row.source, row.key
        if row.h_codes:
            assert len(row.h_codes) == len(row.statements), row.key


def test_one_statement_text_per_h_code():
    texts = {}
    for row in HAZARD_CLASSES.values():
        for code, text in zip(row.h_codes, row.statements, strict=False):
            texts.setdefault(code, set()).add(text)
    assert {code: found for code, found in texts.items() if len(found) > 1} == {}


def test_unknown_class_says_so():
    with pytest.raises(LabelError, match="flam_liq_9"):
        label_elements(["flam_liq_9"])


def test_nothing_known_never_reads_as_safe():
    unknown = label_elements(None)
    assert not unknown.classified
    assert [statement.text for statement in unknown.statements] == [NOT_CLASSIFIED]
    known = label_elements([])
    assert known.classified
    assert known.statements == ()


def test_the_worse_category_covers_the_lesser():
    keys = ["acute_tox_oral_4", "acute_tox_oral_3", "carc_2", "carc_1a"]
    assert worst_of_each(keys) == ("acute_tox_oral_3", "carc_1a")


def test_narcosis_stands_beside_organ_damage():
    assert worst_of_each(["stot_se_3_narcosis", "stot_se_1"]) == ("stot_se_1", "stot_se_3_narcosis")


def test_small_label_keeps_the_most_important_precautions():
    few = label_elements(["flam_liq_2", "skin_corr_1b", "stot_re_2"], precautions=3)
    every = label_elements(["flam_liq_2", "skin_corr_1b", "stot_re_2"], precautions=None)
    assert [row.code for row in few.precautions] == ["P280", "P210", "P305+P351+P338"]
    assert set(few.precautions) < set(every.precautions)


def test_the_most_urgent_call_for_help_stands_alone():
    codes = {row.code for row in label_elements(["skin_corr_1b", "acute_tox_inhalation_4"], None).precautions}
    assert "P310" in codes
    assert not codes & {"P311", "P312"}


def test_what_was_left_out_is_said():
    left_out = label_elements(["skin_corr_1b", "skin_irrit_2", "acute_tox_oral_4"]).left_out
    assert any("worse category" in line for line in left_out)
    assert any("Danger stands alone" in line for line in left_out)
