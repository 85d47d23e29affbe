"""Risk: from doses, threshold draws and evidence to the chance that turf is dead.

| file | holds | needs |
|---|---|---|
| combine | expected dead share of a zone, p(member, draw) | harm, threshold draws |
| spread | beta scatter about it, bands, mixture quantiles | p, weights |
| survey | likelihood of a surveyed class | p |
| standing | rank of a zone among zones of the same expectation | its plugs, p |
| weights | what plugs and surveys say: weights and standing | plugs, surveys, harm |
| outlook | chances and ranges by zone and day | all of these |
"""

from winterrisk.risk.outlook import outlook
from winterrisk.risk.spread import BAND_LIMITS, BANDS, PARTS
from winterrisk.risk.weights import Known, known, weights

__all__ = ["BANDS", "BAND_LIMITS", "PARTS", "Known", "known", "outlook", "weights"]
