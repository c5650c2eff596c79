"""What a label card allows: strips, rates, dates, countries, units and new turf."""

import pytest

NOT_SET = "not set: do not apply"
OUNCE_G = 28.349523125  # avoirdupois (international pound ÷ 16)
US_GALLON_L = 3.785411784  # 231 cubic inches
FOOT2_M2 = 0.3048**2


def test_by_a_pond_nothing_is_applied_while_nobody_has_set_a_strip(scenario):
    made = scenario("pond")
    iron = made.step("iron_soluble", "beside_pond")
    assert iron["status"] == NOT_SET
    assert "No one has set the strip" in made.why("iron_soluble", "beside_pond")
    assert not made.plan.loads["operation"].str.startswith("iron").any()
    # The rest stands, so the plan is a whole one without iron.
    assert {"scarifying", "clearing", "overseeding"} <= set(made.operations("beside_pond"))


def test_by_a_pond_the_label_sets_the_strip_and_the_rest_is_treated(scenario):
    made = scenario("pond", depot="pond/label_with_strip")
    zone, iron = made.zone("beside_pond"), made.step("iron_soluble", "beside_pond")
    assert (zone["water_strip_m"], zone["water_strip_from"]) == (5.0, "label")
    # 20 × 10 m with the pond along a short side: 5 × 10 m stay untreated, 150 m² are left.
    assert zone["iron_area_m2"] == pytest.approx(150, rel=1e-3)
    assert iron["amount"] == pytest.approx(150 * 50 / 16, rel=1e-3)
    loads = made.plan.loads
    assert "beside_pond" in set(loads.loc[loads["operation"] == "iron_soluble", "zone_id"])


@pytest.mark.parametrize(
    ("depot", "status", "fe_g_m2"),
    [
        # 20 g and 400 g over 16 m² of a product with 20 % Fe.
        ("weak", "do", 20 / 16 * 0.20),
        ("strong", "not allowed", None),
        ("strong_twice", "do", 400 / 16 * 0.20),
    ],
)
def test_the_labels_rate_is_taken_as_it_is_or_not_at_all(scenario, depot, status, fe_g_m2):
    made = scenario("label_rates", depot=f"label_rates/{depot}")
    iron = made.step("iron_soluble")
    assert iron["status"] == status
    if fe_g_m2 is None:
        assert "copy the rate from the label a second time, as rate_typed_again" in made.said
    else:
        assert iron["iron_g_m2"] == pytest.approx(fe_g_m2, rel=1e-6)


def test_a_stricter_label_is_not_raised_to_what_is_published(scenario):
    made = scenario("label_rates", depot="label_rates/weak")
    # 1.25 g/m² on 200 m²; published applications begin at 0.6 g Fe/m², this has 0.25.
    assert made.step("iron_soluble")["amount"] == pytest.approx(250, rel=1e-3)
    assert "below the published rates" in made.step("iron_soluble")["flag"]
    assert "is the label's rate" in made.why("iron_soluble")


def test_a_rate_above_the_limit_typed_twice_stays_flagged(scenario):
    iron = scenario("label_rates", depot="label_rates/strong_twice").step("iron_soluble")
    # 5.0 g Fe/m² against 10 g/m² of heptahydrate (20.1 % Fe), the most that is published: 2.5.
    assert "2.49 times the published rate" in iron["flag"]


@pytest.mark.parametrize(
    ("depot", "status", "because"),
    [
        ("past", "not allowed", "past the last day that its approval allows"),
        ("other_country", "not allowed", "authorised in another country"),
        ("professional", "not allowed", "for professional users and this plan is for a home user"),
        ("fertiliser", "for pricing only", "not an application rate"),
    ],
)
def test_a_card_that_does_not_hold_here_is_refused_with_the_reason(
    scenario, depot, status, because
):
    made = scenario("wrong_card", depot=f"wrong_card/{depot}")
    assert made.step("iron_soluble")["status"] == status
    assert because in made.why("iron_soluble")
    assert because in made.said
    assert not made.plan.loads["operation"].str.startswith("iron").any()


def test_a_us_label_is_read_in_ounces_and_us_gallons(scenario):
    made = scenario("us_units")
    iron = made.step("iron_soluble", "yard")
    # 60 × 50 ft are 3,000 ft²: three times 10 oz and three times 16 US gal.
    assert made.zone("yard")["ground_area_m2"] == pytest.approx(3000 * FOOT2_M2, rel=1e-4)
    assert iron["amount"] == pytest.approx(30 * OUNCE_G, rel=1e-4)
    assert iron["water_l"] == pytest.approx(48 * US_GALLON_L, rel=1e-4)
    # Imperial gallons would have been a fifth more.
    assert iron["water_l"] < 48 * 4.54609 * 0.9


def test_uk_seasons_are_not_passed_off_as_american(scenario):
    said = scenario("us_units").said
    assert "Seasons are those published for the UK, and this site is in US" in said


def test_no_iron_on_a_lawn_sown_last_month(scenario):
    made = scenario("new_lawn", "2026-08-18")
    # Sown on 20 July; the label asks for 180 days, which end on 16 January.
    assert made.step("iron_soluble", "new")["status"] == NOT_SET
    assert "sown or turfed on 2026-07-20" in made.why("iron_soluble", "new")
    assert made.step("iron_soluble", "old")["status"] == "do"
    loads = made.plan.loads
    assert set(loads.loc[loads["operation"] == "iron_soluble", "zone_id"]) == {"old"}
