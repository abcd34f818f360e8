"""Foliar feed and spot spray on a piece of ground."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.need.machine import hand_gun_line, sprayer_line
from quietacre.need.records import SprayLine
from quietacre.need.spray import over_label, tank_plan, water_unmeasured
from quietacre.need.work import spray_minutes

if TYPE_CHECKING:
    from quietacre.need.job import Job
    from quietacre.settings import Property


def spray(job: Job, prop: Property) -> None:
    """Work out the sprays of a job."""
    if job.made or not job.first:
        return  # an area is sprayed once, whatever is sown on it
    sprays = {spray.name: spray for spray in prop.spray}
    for feed in job.area.feed:
        spray = sprays[feed.spray]
        gear = prop.equipment
        acres = job.acres * feed.share
        tank = tank_plan(spray, acres, gear.tank_gal, gear.spray_gal_ac)
        low, high = job.spread
        job.spray.append(
            SprayLine(
                tank,
                acres=acres,
                share=feed.share,
                on=feed.on,
                done=0.0,
                left=tank.product,
                gal_low=tank.gal * low,
                gal_high=tank.gal * high,
                minutes=spray_minutes(acres, tank.loads, gear),
            )
        )
        gal_ac = spray.spray_gal_ac or gear.spray_gal_ac
        line = (
            hand_gun_line(gal_ac)
            if spray.use == "spot spray"
            else sprayer_line(gal_ac, gear.spray_swath_ft, gear.spray_mph)
        )
        if line not in job.setting:
            job.setting.append(line)
        if unmeasured := water_unmeasured(spray, gear.spray_gal_ac):
            job.say("spot-water", unmeasured)
        warning = over_label(spray)
        if warning:
            job.say("above-label", warning, "warning")
        named = f"{job.area.name} {job.area.note or ''}".casefold()
        if job.area.kind == "native" and "honeysuckle" in named:
            job.say(
                "which-honeysuckle",
                "it is native browse by its kind: make sure which honeysuckle this is before you "
                "feed or spray it",
                more="Japanese and bush honeysuckles are invasive and birds spread them; coral "
                "honeysuckle is native (from memory). The state forestry agency or your county "
                "extension office can name it.",
            )
        if job.area.kind == "patch" and spray.use == "foliar feed":
            job.say(
                "feeding-the-vine",
                "feeding the vine makes it run",
                more="re-survey its edge and widen the strip; no trial shows what it gains as "
                "browse.",
            )
