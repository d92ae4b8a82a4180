"""The packet's page of simulated drives."""

import numpy as np
import pytest

from shroudwright.assessment import Band
from shroudwright.control.plan import Plan
from shroudwright.drives import DriveAnswer, Driven
from shroudwright.packet.drives import drive_blocks
from shroudwright.speech import SHOPS


def a_drive(name: str, peak: float) -> Driven:
    def band(value: float) -> Band:
        return Band(value=value, low=0.9 * value, high=1.1 * value)

    answer = DriveAnswer(
        route=name,
        source="made up",
        seconds=600.0,
        distance=1000.0,
        heat=10e3,
        peak=Band(value=peak, low=peak - 2.0, high=peak + 2.0),
        limit=383.15,
        boil=398.0,
        to_boiling=band(398.0 - peak),
        over_limit=band(0.0),
        seconds_to_limit=None,
        chance_of_holding=1.0,
        fan_share=band(0.5),
        full_share=band(0.2),
        noise=band(64.0),
        starts_per_hour=band(12.0),
        least_cycle=None,
        relay_years=None,
        energy=band(36e3),
        least_volts=band(13.0),
        says=["starts often"],
    )
    time = np.arange(600.0)
    trace = np.column_stack([np.full(600, peak), np.full(600, peak), np.full(600, 0.5), np.full(600, 1.0)])
    return Driven(answer, time, 0.0 * time, trace, Plan())


@pytest.mark.behaviour("a row for each drive, what to know of it, and a picture of the one nearest its limit")
def test_page_of_drives() -> None:
    assert drive_blocks([], SHOPS["mm"], 0.17) == []
    blocks = drive_blocks([a_drive("parade", 370.0), a_drive("tow grade", 380.0)], SHOPS["mm"], 0.17)
    (table,) = (block for block in blocks if block["kind"] == "table")
    (picture,) = (block for block in blocks if block["kind"] == "picture")
    assert [row[0] for row in table["rows"]] == ["parade", "tow grade"]
    assert table["rows"][1][2] == "3"
    assert table["rows"][0][-2] == "60"
    assert table["rows"][0][-3] == "64"
    assert "tow grade" in picture["alt"]
    assert {"parade: starts often", "tow grade: starts often"} == {
        line for block in blocks if block["kind"] == "list" for line in block["items"]
    }
