"""The room plugs of a course stand in where nobody noted it for a batch."""

from collections.abc import Mapping


def values_in_room(
    values: Mapping[str, float],
    room: str,
    temperature: float | None = None,
    light_hours: float | None = None,
    light_mol: float | None = None,
) -> dict[str, float]:
    """Threshold values with the course's plug room in place of the usual one.

    A batch's own notes go before; the doubt of a room nobody measured stays.

    Args:
        room: "sill" or "lamp". temperature [degC]. light_hours [h d-1], light_mol [mol m-2 d-1]: None where
            the course file does not say.
    """
    chosen = dict(values)
    if temperature is not None:
        chosen["plug_room_temperature"] = temperature
    if room == "lamp":
        if light_hours is not None:
            chosen["plug_lamp_hours"] = light_hours
        if light_mol is not None:
            chosen["plug_lamp_light"] = light_mol / max(chosen["plug_lamp_hours"], 1.0)
    elif light_mol is not None:
        chosen["plug_sill_light"] = light_mol
    return chosen
