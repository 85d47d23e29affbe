"""The course's likelihood against plain arithmetic with the product's own kill formulae and evidence."""

import numpy as np
import pytest
from courses import ICE, add_plug, add_survey, book, seen, truth, winter
from scipy.special import ndtr

from winterrisk import hazards
from winterrisk.calibration.likelihood_table import likelihood_table, looked_up, rho_cell, share_cell
from winterrisk.calibration.model import course_model, rows_of_chance
from winterrisk.calibration.pieces import pieces
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


def test_course_likelihood_is_the_log_of_the_mean_over_members() -> None:
    past = winter("2023-24", {"1 low": 1.4, "2 low": 0.9}, members=5, spread=0.4, wet={"1 low": 1.0})
    tables = seen([past], truth(ice=1.0), "two zones", plugs=2)
    found, _ = pieces_of(past, tables)
    model = course_model([past], found, ROWS, VALUES)
    z = np.random.default_rng(5).standard_normal((3, len(ROWS)))
    # worked one draw, zone and member at a time, with the chapters below and no table
    wanted = np.zeros(3)
    items = evidence(tables.plugs, tables.looks, tables.batches, values=VALUES)
    for k in range(3):
        draws = {key: np.array([value]) for key, value in VALUES.items()}
        draws |= {name: TABLE[name].quantile(ndtr(z[k : k + 1, i])) for i, name in enumerate(ROWS)}
        for zone in ("1 low", "2 low"):
            chances = []
            for member in range(5):
                doses = past.harm.sel(zone=zone).isel(member=[member])
                total = 0.0
                for item in (e for e in items if e.zone == zone):
                    day = item.cut.astype("datetime64[D]")
                    p = dead_share(doses.sel(day=slice(None, day)).max("day"), past.cover(zone), draws)
                    total += float(item.log_likelihood(p, draws["plug_correlation"])[0, 0])
                for row in tables.surveys[tables.surveys["zone"] == zone].itertuples():
                    p = dead_share(doses.max("day"), past.cover(zone), draws)
                    total += float(survey_log_likelihood(p, row.dead_low, row.dead_high, 10.0)[0, 0])
                chances.append(np.exp(total))
            wanted[k] += np.log(np.mean(chances))
    # 0.01 = the tables' interpolation; the values themselves spread over several units
    assert model.log_likelihood(z) == pytest.approx(wanted, abs=0.01)
    assert np.ptp(wanted) > 0.5


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
