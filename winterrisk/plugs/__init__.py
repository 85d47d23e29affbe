"""plugs"""
from winterrisk.plugs.evidence import Evidence, evidence, evidence_by_zone, log_likelihood
from winterrisk.plugs.plug import ANY_SPECIES, Batch, Look, Plug, PlugLogError, batches_from, looks_from, plugs_from

__all__ = ["ANY_SPECIES", "Batch", "Evidence", "Look", "Plug", "PlugLogError", "batches_from", "evidence", "evidence_by_zone", "log_likelihood", "looks_from", "plugs_from"]
