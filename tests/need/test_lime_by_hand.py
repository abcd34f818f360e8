"""Lime worked out by hand: what was asked, on which measure, and what the product is worth."""

import pytest

from quietacre.errors import NeedProblem
from quietacre.figures import printed
from quietacre.need.lime import (
    MONTHS_AHEAD,
    Lime,
    _below,
    fineness_efficiency,
    lime_parts,
    lime_rate,
    mehlich_ton_ac,
)
from quietacre.need.tables import lime_bases
from quietacre.settings import Product, SoilTest
from quietacre.shipped import cite

MEHLICH = {"buffer": "mehlich", "ph": 5.6, "buffer_ph": 6.1, "target_ph": 6.1}


def lime(test, product=None, state=None):
    """Return the lime with its texts as they are printed."""
    found = lime_rate(SoilTest("field", **test), product, state)
    if found is None:
        return None
    return Lime(
        pytest.approx(found.ton_ac), found.product, found.basis, printed(found.text),
        tuple(map(printed, found.warnings)), tuple(map(printed, found.doubts)),
        tuple(pytest.approx(part) for part in found.parts_ton_ac), found.months_ahead,
    )  # fmt: skip


NO_BASIS = (
    "the soil test does not say which basis its lime is on: taken as ECCE 100 %. Ask the "
    "laboratory; the difference can double the tons."
)
NO_MEHLICH_BASIS = (
    "the page the Mehlich method was read on does not print which lime its tons are of: taken as "
    "ECCE 100 %; lime_basis and lime_basis_pct say otherwise."
)


# ---- in parts ---------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("ton_ac", "parts"),
    [
        (0.05, (0.05,)), (0.5, (0.5,)), (2.0, (2.0,)), (2.1, (2.1,)), (2.125, (2.0, 0.125)), (3.0, (2.0, 1.0)), (4.0, (2.0, 2.0)), (4.0625, (2.0, 2.0625)),
        (4.1, (2.0, 2.1)), (4.125, (2.0, 2.0, 0.125)), (5.0, (2.0, 2.0, 1.0)), (6.0, (2.0, 2.0, 2.0)), (8.0625, (2.0, 2.0, 2.0, 2.0625)),
    ],
)  # fmt: skip
def test_two_tons_go_on_at_a_time_unless_they_are_worked_in(ton_ac, parts):
    assert lime_parts(ton_ac, worked_in=False) == pytest.approx(parts)
    assert lime_parts(ton_ac, worked_in=True) == (ton_ac,)


# ---- how fine it is ------------------------------------------------------------------------------------
def test_each_size_of_grain_counts_by_its_states_weight():
    """New York: 20 % held on mesh 60, 30 % on 100, 40 % through it: 0.08 + 0.24 + 0.4."""
    ny = {20: 90.0, 60: 70.0, 100: 40.0}
    assert fineness_efficiency(ny, "NY") == pytest.approx(0.72)
    assert fineness_efficiency({10: 100.0, 50: 100.0}, "KY") == 1.0
    assert fineness_efficiency({10: 100.0, 50: 0.0}, "KY") == 0.5
    assert fineness_efficiency({10: 50.0, 50: 50.0}, "MS") == 0.5
    assert fineness_efficiency({10: 80.0, 50: 30.0, 200: 5.0}, "MS") == pytest.approx(0.55)


def test_sizes_that_cannot_be_weighed_are_named():
    for passing, state, message, fix in (
        ({20: 90.0, 60: 95.0, 100: 40.0}, "NY", "more lime passes a fine mesh than a coarse one",
         "check the ticket"),
        ({60: 70.0}, "NY", "NY weighs lime by the 20, 60, 100 mesh; 20, 100 is not given",
         "give the percent passing each of them"),
        ({10: 90.0, 50: 40.0}, "OH",
         "no fineness weights of OH were read in a source (known: KY, MS, NY)",
         "give the effective value printed on the ticket (ecce_pct or rnv_pct)"),
        ({10: 90.0, 50: 40.0}, "", "no fineness weights of a state were read in a source",
         "give the effective value printed on the ticket (ecce_pct or rnv_pct)"),
    ):  # fmt: skip
        with pytest.raises(NeedProblem) as caught:
            fineness_efficiency(passing, state)
        assert message in str(caught.value)
        assert caught.value.fix == fix


# ---- a buffer -------------------------------------------------------------------------------------------
def test_the_buffers_acidity_is_sated_by_the_share_of_the_way_to_its_target():
    """4 × (6.6 - 6.1) is 2; from 5.6 to 6.1 is half of the way to 6.6: a ton."""
    assert mehlich_ton_ac(5.6, 6.1, 6.1) == pytest.approx(1.0)
    assert mehlich_ton_ac(5.6, 6.1, 6.6) == pytest.approx(2.0)
    assert mehlich_ton_ac(5.6, 5.6, 6.1) == pytest.approx(2.0)
    # at its target, over it, or at the buffer's own pH nothing is asked for
    assert mehlich_ton_ac(6.1, 6.1, 6.1) == 0.0
    assert mehlich_ton_ac(6.2, 6.1, 6.1) == 0.0
    assert mehlich_ton_ac(6.6, 6.1, 6.9) == 0.0
    assert mehlich_ton_ac(5.6, 6.6, 6.1) == 0.0


def test_lime_of_late_is_counted_until_it_is_used_up():
    """A ton: after two months 16 or 32 percent of it are gone, after thirteen all of it."""
    for soil, months, left in (
        ("mineral", 0.0, 1.0), ("mineral", 2.0, 0.84), ("mineral", 12.0, 0.04),
        ("mineral", 13.0, 0.0), ("mineral", 30.0, 0.0), ("organic", 2.0, 0.68),
        ("mineral-organic", 2.0, 0.68), ("organic", 7.0, 0.0),
    ):  # fmt: skip
        found = mehlich_ton_ac(
            5.6, 6.1, 6.6, last_ton_ac=1.0, last_months=months, soil=soil
        )
        assert found == pytest.approx(2.0 - left), (soil, months)
    assert mehlich_ton_ac(5.6, 6.1, 6.6, last_ton_ac=3.0) == 0.0
    assert mehlich_ton_ac(5.6, 6.1, 6.6, last_months=2.0) == pytest.approx(2.0)


def test_what_the_buffer_cannot_say_is_refused():
    for figures, soil, message, fix in (
        ((5.6, 6.1, 6.1), "sand", "“sand” is not a soil class",
         "use mineral, mineral-organic or organic"),
        ((5.6, 6.75, 6.1), "mineral", "a Mehlich buffer cannot read 6.75: it starts at 6.6",
         "this is another method's buffer pH; take the laboratory's lime figure"),
        ((5.6, 6.1, 6.75), "mineral", "the method reaches pH 6.6 at most, not 6.75",
         "choose a lower target_ph"),
    ):  # fmt: skip
        with pytest.raises(NeedProblem) as caught:
            mehlich_ton_ac(*figures, soil=soil)
        assert message in str(caught.value)
        assert caught.value.fix == fix


def test_the_buffers_tons_are_told_with_whose_reading_they_are():
    first = "Mehlich buffer (North Carolina): 1 ton/ac at ECCE 100 %"
    assert lime(MEHLICH, state="NC") == Lime(
        1.0, None, "ECCE 100 %", first, (), (NO_MEHLICH_BASIS,), (1.0,), MONTHS_AHEAD,
    )  # fmt: skip
    assert lime(MEHLICH) == lime(MEHLICH, state="NC")
    # Kentucky says what its own tons are of; the buffer's are not of it
    other = lime(MEHLICH, state="KY")
    assert (other.ton_ac, other.warnings, len(other.doubts)) == (1.0, (), 2)
    assert other.doubts[0] == NO_MEHLICH_BASIS
    assert other.doubts[1].startswith(
        "the tons are North Carolina's reading of a Mehlich buffer"
    )
    assert other.doubts[1].endswith(
        "one laboratory's buffer pH is never read with another's table"
    )
    own = lime({**MEHLICH, "lime_basis": "CCE", "lime_basis_pct": 80.0}, state="NC")
    assert (own.text, own.doubts) == (
        "Mehlich buffer (North Carolina): 1 ton/ac at CCE 80 %", (),
    )  # fmt: skip
    less = lime({**MEHLICH, "last_lime_ton_ac": 0.5, "last_lime_months": 5.0}, state="NC")
    assert less.ton_ac == pytest.approx(1.0 - 0.5 * 0.6)
    peat = lime(
        {
            **MEHLICH,
            "last_lime_ton_ac": 0.5,
            "last_lime_months": 5.0,
            "soil_class": "organic",
        },
        state="NC",
    )
    assert peat.ton_ac == pytest.approx(1.0 - 0.5 * 0.2)
    assert lime({**MEHLICH, "last_lime_ton_ac": 1.0}, state="NC") is None


def test_a_buffer_without_its_figures_or_its_source_is_refused():
    for key in ("ph", "buffer_ph", "target_ph"):
        with pytest.raises(NeedProblem) as caught:
            lime({**MEHLICH, key: None})
        assert "a buffer needs ph, buffer_ph and target_ph" in str(caught.value)
        assert (caught.value.fix, caught.value.where) == (
            "give all three",
            "soil_test “field”",
        )
    with pytest.raises(NeedProblem) as caught:
        lime({**MEHLICH, "buffer": "Sikora"})
    assert "no coefficients of the “Sikora” buffer were read in a source" in str(
        caught.value
    )
    assert (
        caught.value.fix
        == "give the laboratory's own lime figure (lime_ton_ac or lime_lb_ac)"
    )
    assert caught.value.where == "soil_test “field”"


# ---- the laboratory's tons -------------------------------------------------------------------------------
@pytest.mark.parametrize("asked", [{}, {"lime_ton_ac": 0.0}, {"lime_lb_ac": 0.0}, {"lime_ton_ac": 0.0, "lime_lb_ac": 900.0}])  # fmt: skip
def test_a_test_that_asks_for_no_lime_gets_none(asked):
    assert lime(asked) is None


def test_tons_stand_before_pounds_and_both_are_told():
    text = "laboratory: 1 ton/ac at ECCE 100 %"
    for asked in (
        {"lime_ton_ac": 1.0},
        {"lime_lb_ac": 2000.0},
        {"lime_ton_ac": 1.0, "lime_lb_ac": 900.0},
    ):
        assert lime(asked) == Lime(
            1.0, None, "ECCE 100 %", text, (), (NO_BASIS,), (1.0,), MONTHS_AHEAD
        )
    third = lime({"lime_ton_ac": 4 / 3, "lime_basis": "CCE"})
    assert third.text == "laboratory: 1.33 ton/ac at CCE 100 %"


@pytest.mark.parametrize(
    ("keys", "basis"),
    [
        ({"lime_basis": "CCE"}, "CCE 100 %"), ({"lime_basis": "CCE", "lime_basis_pct": 90.0}, "CCE 90 %"),
        ({"lime_basis_pct": 90.0}, "ECCE 90 %"), ({"lime_basis_ecce_pct": 85.0}, "ECCE 85 %"),
        ({"lime_basis_pct": 90.0, "lime_basis_ecce_pct": 85.0}, "ECCE 90 %"),
        ({"lime_basis": "pure", "lime_basis_pct": 90.0}, "pure CaCO₃"), ({"lime_basis": "RNV"}, "RNV 100 %"),
    ],
)  # fmt: skip
def test_the_basis_of_the_tons_is_what_the_test_says(keys, basis):
    found = lime({"lime_ton_ac": 1.0, **keys}, state="KY")
    assert found == Lime(
        1.0, None, basis, f"laboratory: 1 ton/ac at {basis}", (), (), (1.0,), MONTHS_AHEAD
    )


def test_a_state_that_tells_its_basis_is_named_with_its_page():
    """Kentucky's tons are of lime that is 100 % effective, Arkansas's of 47 %."""
    for state, basis in (("KY", "RNV 100 %"), ("AR", "ECCE 47 %"), ("CA", "pure CaCO₃")):
        found = lime({"lime_ton_ac": 1.0}, state=state)
        known = lime_bases()[state]
        assert (found.ton_ac, found.basis, found.doubts) == (1.0, basis, ())
        assert found.warnings == (
            printed(f"lime: {state}'s {known.note} ({cite(known.source)})."),
        )
    # Tennessee's law is on lime that is sold, not on what its tons are of
    assert lime({"lime_ton_ac": 1.0}, state="TN").doubts == (NO_BASIS,)
    assert lime({"lime_ton_ac": 1.0, "lime_state": "KY"}, state="TN").basis == "RNV 100 %"


def test_the_depth_that_lime_is_mixed_to_takes_its_share():
    """California's tons are for 8 inches: 6 of them take three quarters."""
    asked = {"lime_ton_ac": 2.0, "lime_depth_in": 6.0}
    found = lime(asked, Product("lime-ag", name="the quarry's", ecce_pct=50.0), "CA")
    assert found.text == (
        "laboratory: 2 ton/ac at pure CaCO₃; mixed 6 in. of 8; product at ECCE 50 %"
    )
    assert (found.ton_ac, found.product, found.parts_ton_ac) == (
        3.0,
        "the quarry's",
        (3.0,),
    )
    own = lime({**asked, "lime_basis_depth_in": 4.0}, state="CA")
    assert (own.ton_ac, own.text) == (
        3.0, "laboratory: 2 ton/ac at pure CaCO₃; mixed 6 in. of 4",
    )  # fmt: skip
    # no depth is known, or none is said
    assert lime(asked).ton_ac == 2.0
    assert "mixed" not in lime(asked).text
    assert lime({**asked, "lime_basis": "pure"}, state="CA").ton_ac == 2.0
    assert lime({"lime_ton_ac": 3.0}, state="CA").parts_ton_ac == (2.0, 1.0)


# ---- the product -----------------------------------------------------------------------------------------
def test_the_product_is_set_against_the_basis_by_the_same_measure():
    """Two tons of 80 % lime from a product of 64 % are 2.5 tons, from one of 100 % 1.6."""
    for measure, product, how, ton_ac in (
        ("CCE", {"cce_pct": 64.0, "ecce_pct": 50.0}, "CCE 64 %", 2.5),
        ("CCE", {"cce_pct": 100.0}, "CCE 100 %", 1.6),
        ("ECCE", {"ecce_pct": 64.0, "rnv_pct": 50.0, "cce_pct": 99.0}, "ECCE 64 %", 2.5),
        ("ECCE", {"rnv_pct": 64.0}, "RNV 64 %", 2.5), ("RNV", {"ecce_pct": 64.0}, "ECCE 64 %", 2.5),
    ):  # fmt: skip
        asked = {"lime_ton_ac": 2.0, "lime_basis": measure, "lime_basis_pct": 80.0}
        found = lime(asked, Product("lime-ag", **product))
        parts = (2.0, 0.5) if ton_ac > 2 else (ton_ac,)
        assert found == Lime(
            ton_ac, "lime-ag", f"{measure} 80 %",
            f"laboratory: 2 ton/ac at {measure} 80 %; product at {how}", (), (), parts, MONTHS_AHEAD,
        )  # fmt: skip


def test_a_product_whose_worth_nobody_gave_is_taken_as_the_basis():
    asked = {"lime_ton_ac": 1.0, "lime_basis": "CCE", "lime_basis_pct": 90.0}
    text = (
        "laboratory: 1 ton/ac at CCE 90 %; product's quality not given: taken as the laboratory's "
        "basis"
    )
    doubt = "the CCE of lime-ag is not given: tons are those of lime at CCE 90 %."
    assert lime(asked, Product("lime-ag", name="the quarry's")) == Lime(
        1.0, "the quarry's", "CCE 90 %", text, (), (doubt,), (1.0,), MONTHS_AHEAD
    )
    pure = lime({"lime_ton_ac": 1.0, "lime_basis": "pure"}, Product("lime-ag"))
    assert pure.doubts == (
        "the effective value of lime-ag is not given: tons are those of lime at pure CaCO₃.",
    )
    assert lime(asked).text == "laboratory: 1 ton/ac at CCE 90 %"
    assert lime(asked).doubts == ()


def test_lime_of_no_measure_that_fits_is_refused():
    both = {"lime_ton_ac": 1.0, "lime_basis_pct": 90.0}
    for measure, product, given in (
        ("CCE", {"enp_lb_ton": 1600.0}, "ENP"), ("ECCE", {"enm_lb_ton": 400.0}, "ENM"),
        ("pure", {"cce_pct": 90.0, "enp_lb_ton": 1600.0}, "CCE"),
        ("RNV", {"enp_lb_ton": 1600.0, "enm_lb_ton": 400.0}, "ENP"),
    ):  # fmt: skip
        with pytest.raises(NeedProblem) as caught:
            lime({**both, "lime_basis": measure}, Product("lime-ag", **product))
        assert (
            f"the lime's {given} cannot be set against a rate written on {measure}"
            in str(caught.value)
        )
        assert caught.value.where == "product “lime-ag”"
    coarse = Product("lime-ag", cce_pct=90.0, passing_pct=((10, 0.0), (50, 0.0)))
    with pytest.raises(NeedProblem) as caught:
        lime({"lime_ton_ac": 1.0, "lime_basis": "ECCE"}, coarse, "KY")
    assert "this lime is too coarse to work" in str(caught.value)
    assert caught.value.fix == "check the ticket"
    sizes = Product("lime-ag", cce_pct=90.0, passing_pct=((10, 90.0), (50, 40.0)))
    with pytest.raises(NeedProblem, match="no fineness weights of a state"):
        lime({"lime_ton_ac": 1.0, "lime_basis": "ECCE"}, sizes)


def test_effective_pounds_are_set_against_the_products_own():
    """3,000 lb of ENM from lime of 400 lb a ton: 7.5 tons, in four parts."""
    for measure, key in (("ENM", "enm_lb_ton"), ("ENP", "enp_lb_ton")):
        asked = {"lime_lb_ac": 3000.0, "lime_basis": measure}
        found = lime(asked, Product("lime-ag", **{key: 400.0}))
        assert found == Lime(
            7.5, "lime-ag", measure, f"laboratory: 3,000 lb {measure}/ac; product at 400 lb {measure} a ton",
            (), (), (2.0, 2.0, 2.0, 1.5), MONTHS_AHEAD,
        )  # fmt: skip
        other = "enp_lb_ton" if key == "enm_lb_ton" else "enm_lb_ton"
        for product in (None, Product("lime-ag", **{other: 400.0})):
            with pytest.raises(NeedProblem) as caught:
                lime(asked, product)
            assert (
                f"the laboratory's figure is pounds of {measure}, and no lime listed says its {measure}"
                in str(caught.value)
            )
            assert caught.value.fix == f"give the product's {key}, printed on its ticket"


def test_ohios_effective_pounds_are_tons_where_the_ticket_has_a_percent():
    """A ton of lime of 2,000 lb ENP is 1.25 tons of a product of 1,600 lb, or of 80 %."""
    by_pounds = lime({"lime_ton_ac": 1.0}, Product("lime-ag", enp_lb_ton=1600.0), "OH")
    assert (by_pounds.ton_ac, by_pounds.basis) == (1.25, "ENP")
    by_percent = lime({"lime_ton_ac": 1.0}, Product("lime-ag", ecce_pct=80.0), "OH")
    assert (by_percent.ton_ac, by_percent.basis) == (1.25, "ECCE 100 %")
    assert by_pounds.warnings == by_percent.warnings
    assert lime({"lime_ton_ac": 1.0}, None, "OH").basis == "ECCE 100 %"


@pytest.mark.parametrize(
    ("measure", "value", "state", "least"),
    [
        ("CCE", 79.0, "KY", 80), ("CCE", 80.0, "KY", None), ("RNV", 64.0, "KY", None),
        ("RNV", 64.0, "TN", 65), ("RNV", 65.0, "TN", None), ("CCE", 10.0, "OH", None),
        ("CCE", 10.0, "", None),
    ],
)  # fmt: skip
def test_lime_that_is_weaker_than_its_state_asks(measure, value, state, least):
    out = []
    _below(value, measure, state, out)
    assert [printed(text) for text in out] == (
        []
        if least is None
        else [
            f"{measure} {value:g} % is under the {least} % that {state} asks of lime sold there "
            f"({cite(lime_bases()[state].least_source)})."
        ]
    )
