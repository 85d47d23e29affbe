"""Rows of the column: one set for every site; members vary the marked ones within their ranges."""

from winterrisk.thresholds.row import Row, Shape

JUDGED = "judged"


def _row(
    name: str, label: str, unit: str, value: float, low: float, high: float, shape: Shape, source: str,
    sd: float | None = None, note: str = "",
) -> Row:  # fmt: skip
    return Row(
        name, label, unit, value, low, high, shape, source,
        "judged" if source.startswith(JUDGED) else "published", "column", sd=sd, note=note,
    )  # fmt: skip


COLUMN_ROWS: tuple[Row, ...] = (
    _row("snow_catch", "snow reaching the turf over snow measured", "1", 1.0, 0.7, 1.5, "lognormal",
         "judged: gauge loss and drifting inside a zone", sd=0.10),
    _row("wind_loss", "hourly loss of loose snow per unit excess wind, exposed zone", "h-1", 0.10, 0.02, 0.3,
         "loguniform", "judged; threshold wind after Li and Pomeroy 1997, from memory"),
    _row("new_snow_density", "factor on the density of new snow", "1", 1.0, 0.8, 1.25, "lognormal",
         "Vionnet 2012 (109 + 6 t + 26 sqrt U), from memory; spread judged", sd=0.08),
    _row("snow_viscosity", "factor on the viscosity of snow", "1", 1.0, 0.5, 2.0, "lognormal",
         "Vionnet 2012, from memory; spread judged", sd=0.25),
    _row("albedo_fresh", "albedo of fresh snow", "1", 0.85, 0.80, 0.90, "uniform", "Essery 2015"),
    _row("albedo_old", "albedo of old snow", "1", 0.50, 0.42, 0.58, "uniform", "Essery 2015; spread judged"),
    _row("albedo_cold", "ageing time of cold snow", "h", 1000.0, 700.0, 1400.0, "loguniform", "Essery 2015"),
    _row("albedo_wet", "ageing time of melting snow", "h", 100.0, 70.0, 150.0, "loguniform", "Essery 2015"),
    _row("snow_retention", "water held in the pores of snow", "1", 0.025, 0.02, 0.05, "uniform",
         "0.03 in common use, 0.05 Vionnet 2012; from memory"),
    _row("calm_exchange", "least exchange of a cold surface with the air", "W m-2 K-1", 1.1, 0.6, 1.6, "uniform",
         "judged: keeps calm nights from decoupling; 0.5-1.5 fits surface temperature"),
    _row("snow_roughness", "roughness of snow", "m", 0.002, 0.0005, 0.01, "loguniform",
         "1e-3 to 1e-2 in general snow models"),
    _row("turf_roughness", "roughness of mown turf and ice", "m", 0.003, 0.001, 0.01, "loguniform",
         "from memory, short grass 2e-3 to 5e-3"),
    _row("leaf_resistance_mown", "resistance of a green's leaves", "m2 K W-1", 0.02, 0.005, 0.06, "loguniform",
         "judged: 3 mm of leaf; widest unknown of the crown temperature"),
    _row("leaf_resistance_rough", "resistance of rough grass and litter", "m2 K W-1", 0.17, 0.10, 0.25, "fixed",
         "judged: 2 cm of 0.12 W m-1 K-1, common to all rough-grass sites"),
    _row("leaf_resistance_clearing", "resistance of moss and litter in a clearing", "m2 K W-1", 0.25, 0.15, 0.4,
         "fixed", "judged"),
    _row("leaf_pressed", "leaves lose resistance under snow and water by this factor", "1", 4.0, 3.0, 5.0,
         "uniform", "judged: pressed and wetted by 20 mm of snow water"),
    _row("leaf_sun", "share of the sun passing below rough leaves", "1", 0.05, 0.02, 0.10, "uniform", JUDGED),
    _row("ground_cooler", "ground at 3 m cooler than July's air on 1 August", "K", 9.0, 6.0, 12.0, "uniform",
         "judged: annual wave; six stations had 1 m cooler by 3-5 K on 1 August"),
    _row("mat_conductivity", "factor on the conductivity of thatch and mat", "1", 1.0, 0.5, 2.0, "lognormal",
         "judged: moist mat 0.2-0.3, frozen saturated 1.2-1.6 W m-1 K-1", sd=0.35),
    _row("soil_conductivity", "factor on the conductivity of the soil", "1", 1.0, 0.75, 1.33, "lognormal",
         "judged: spread of methods", sd=0.12),
    _row("turf_albedo", "albedo of dormant turf", "1", 0.22, 0.18, 0.26, "uniform", "common practice, judged"),
    _row("field_water", "factor on the water a root zone holds", "1", 1.0, 0.8, 1.2, "lognormal", JUDGED, sd=0.08),
    _row("infiltration", "factor on the rate water enters the ground", "1", 1.0, 0.25, 4.0, "lognormal",
         "judged: greens of one build differ several-fold", sd=0.6),
    _row("ice_impedance", "powers of ten of water movement lost per unit ice", "1", 5.0, 3.0, 7.0, "uniform",
         "Lundin 1990; Hansson 2004, from memory"),
    _row("storage", "factor on the water a zone holds on the surface", "1", 1.0, 0.4, 2.5, "lognormal",
         "judged: a person's estimate in millimetres", sd=0.35),
    _row("runoff_hours", "time for water above the storage to leave a 1 % slope", "h", 2.0, 0.7, 6.0, "lognormal",
         "judged: hours on a flat green", sd=0.4),
    _row("crown_freezing", "freezing point of the crown zone", "degC", -0.2, -0.5, -0.05, "uniform",
         "judged: solutes"),
    _row("ice_albedo_clear", "albedo of clear ice on turf", "1", 0.25, 0.20, 0.30, "uniform", "from memory"),
    _row("ice_albedo_white", "albedo of white ice", "1", 0.50, 0.40, 0.60, "uniform", "from memory"),
    _row("ice_extinction_clear", "extinction of sun in clear ice", "m-1", 4.0, 1.5, 8.4, "loguniform",
         "1-3 bubble-free, 8.4 blue lake ice, from memory"),
    _row("ice_extinction_white", "extinction of sun in white ice", "m-1", 17.1, 12.0, 25.0, "fixed",
         "lake ice models, from memory"),
    _row("seal_thickness", "solid ice that shuts the turf off", "kg m-2", 5.0, 3.0, 8.0, "uniform", JUDGED),
    _row("gap_to_vent", "melt at the turf that opens an air gap", "kg m-2", 1.5, 1.0, 3.0, "uniform", JUDGED),
    _row("store_contact", "days of air at 0 degC with ice on the turf", "d", 0.5, 0.2, 2.0, "loguniform",
         "judged: 2 cm at 5 % air"),
    _row("store_soil", "days of air at 0 degC in 10 cm of soil at 20 % air", "d", 6.0, 3.0, 12.0, "loguniform",
         "Warren and Taranto 2011 respiration; store judged"),
)  # fmt: skip
