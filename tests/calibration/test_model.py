"""The course's likelihood against plain arithmetic with the product's own kill formulae and evidence."""

from dataclasses import replace

import numpy as np
import pytest
from courses import ICE, add_plug, add_survey, book, seen, truth, winter
from scipy.special import ndtr

from winterrisk import hazards
from winterrisk.calibration.likelihood_table import likelihood_table, looked_up, rho_cell, share_cell
from winterrisk.calibration.model import course_model, rows_of_chance
from winterrisk.calibration.pieces import pieces
from winterrisk.calibration.zone_effect import ZONE_SPREAD, zone_effect
from winterrisk.plugs import evidence
from winterrisk.risk.combine import dead_share
from winterrisk.risk.survey import survey_log_likelihood
from winterrisk.thresholds import TABLE, Thresholds

VALUES = Thresholds.defaults().values
ROWS = (ICE, "wet_shift.annual_bluegrass", "background", "plug_correlation")


def pieces_of(past, tables):
    found, left_out = pieces(
        [past], tables.plugs, tables.surveys, looks=tables.looks, batches=tables.batches, values=VALUES
    )
    return found, left_out


def plain_log_likelihood(pasts, tables, draws, spread: float) -> float:
    """One draw, zone, winter and member at a time, no table and a fine sum over zone effects."""
    at = np.linspace(-4.8, 4.8, 33) if spread else np.zeros(1)
    share = np.exp(-0.5 * at**2) / np.exp(-0.5 * at**2).sum()
    items = evidence(tables.plugs, tables.looks, tables.batches, values=VALUES)
    total = 0.0
    for zone in ("1 low", "2 low"):
        chances = []
        for effect in np.exp(spread * at):
            chance = 1.0
            for past in pasts:
                here = past.harm.sel(zone=zone)
                doses = here.assign(dose_ice=here["dose_ice"] * effect)
                spoken = np.zeros(past.harm.sizes["member"])
                for item in (e for e in items if e.zone == zone):
                    day = item.cut.astype("datetime64[D]")
                    if not past.days[0] <= day <= past.days[-1]:
                        continue
                    p = dead_share(doses.sel(day=slice(None, day)).max("day"), past.cover(zone), draws)
                    spoken += item.log_likelihood(p, draws["plug_correlation"])[:, 0]
                surveys = tables.surveys[
                    (tables.surveys["zone"] == zone) & (tables.surveys["winter"] == past.name)
                ]
                for row in surveys.itertuples():
                    p = dead_share(doses.max("day"), past.cover(zone), draws)
                    spoken += survey_log_likelihood(p, row.dead_low, row.dead_high, 10.0)[:, 0]
                chance *= float(np.mean(np.exp(spoken)))
            chances.append(chance)
        total += float(np.log(share @ np.array(chances)))
    return total


def two_winters(plugs: int, spread: float):
    """Two winters of two zones, what was found in them, and the model with this spread between zones."""
    doses = {"1 low": 1.4, "2 low": 0.9}
    pasts = [
        winter(name, doses, members=5, spread=0.4, wet={"1 low": 1.0}) for name in ("2022-23", "2023-24")
    ]
    tables = seen(pasts, truth(ice=1.0), "two zones", plugs=plugs)
    values = {**VALUES, ZONE_SPREAD: spread}
    found, _ = pieces(
        pasts, tables.plugs, tables.surveys, looks=tables.looks, batches=tables.batches, values=values
    )
    return pasts, tables, values, course_model(pasts, found, ROWS, values)


# 0.01 = the tables' interpolation; the values themselves spread over several units
@pytest.mark.parametrize("spread", [0.0, 0.2])
def test_course_likelihood_is_the_log_of_the_mean_over_members_and_zone_effects(spread: float) -> None:
    pasts, tables, values, model = two_winters(2, spread)
    fine = replace(model, effect=zone_effect(spread, points=33, step=0.3))
    z = np.random.default_rng(5).standard_normal((1 if spread else 3, len(ROWS)))
    wanted = np.zeros(len(z))
    for k in range(len(z)):
        draws = {key: np.array([value]) for key, value in values.items()}
        draws |= {name: TABLE[name].quantile(ndtr(z[k : k + 1, i])) for i, name in enumerate(ROWS)}
        wanted[k] = plain_log_likelihood(pasts, tables, draws, spread)
    assert fine.log_likelihood(z) == pytest.approx(wanted, abs=0.01)
    assert spread or np.ptp(wanted) > 0.5


@pytest.mark.parametrize("plugs", [2, 8])
def test_few_points_of_zone_effects_do_for_many(plugs: int) -> None:
    """Against 81 points: a tenth of a log unit where the posterior lies, and its mean where it was."""
    *_, model = two_winters(plugs, 0.2)
    z = 0.6 * np.random.default_rng(6).standard_normal((400, len(ROWS)))
    few, many = (
        replace(model, effect=effect).log_likelihood(z)
        for effect in (model.effect, zone_effect(0.2, points=81, step=0.12))
    )
    share, other = (np.exp(v - v.max()) / np.exp(v - v.max()).sum() for v in (many, few))
    off = few - many - share @ (few - many)
    assert np.sqrt(share @ off**2) < 0.1
    assert np.abs((other - share) @ z).max() < 0.02


def test_a_table_gives_the_likelihood_between_its_points() -> None:
    past = winter("2023-24", {"1 low": 1.0})
    tables = seen([past], truth(), "table", plugs=5)
    found, _ = pieces_of(past, tables)
    rng = np.random.default_rng(1)
    p, rho = rng.uniform(0.001, 0.999, (7, 20)), rng.uniform(0.02, 0.6, 20)
    for piece in found:
        exact = piece.log_likelihood(p, rho[None, :], np.array(10.0))
        table = likelihood_table(piece, 10.0, None)
        assert looked_up(table, share_cell(p), rho_cell(rho)) == pytest.approx(exact, abs=0.02)


def test_chances_depend_on_the_rows_their_files_name() -> None:
    dose = np.zeros((2, len(hazards.PARTS)))
    assert rows_of_chance("ice", "creeping_bent", dose[:, 0], VALUES) == {
        "ice_multiplier.creeping_bent",
        "ice_steepness",
    }
    assert rows_of_chance("wet_freeze", "annual_bluegrass", dose, VALUES) == {
        "wet_shift.annual_bluegrass",
        "cold_offset",
        "cold_spread",
    }


def test_evidence_outside_the_winters_is_left_out_and_said() -> None:
    past = winter("2023-24", {"1 low": 1.0})
    plugs, looks, surveys = [], [], []
    add_plug(plugs, looks, "1 low", past.days[60], dead=False)
    add_plug(plugs, looks, "9 gone", past.days[60], dead=False)
    add_plug(plugs, looks, "1 low", np.datetime64("2019-02-01"), dead=True)
    add_survey(surveys, "2018-19", "1 low", np.datetime64("2019-04-20"), 0.5, 0.7)
    found, left_out = pieces_of(past, book(plugs, looks, surveys))
    assert [piece.ids for piece in found] == [("P1",)]
    text = "\n".join(left_out)
    assert "9 gone" in text
    assert "1 left out: plugs of 2018-19, a winter without a replay" in text
    assert "surveys of 2018-19" in text
