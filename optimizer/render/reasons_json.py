"""The reasons of a plan as plain data for JSON."""

from dataclasses import asdict
from decimal import Decimal
from typing import Any

from optimizer.reasons.records import Reasons
from optimizer.verdicts import Miss


def reasons_object(reasons: Reasons) -> dict[str, Any]:
    """What was asked for, each with its line of words; empty where nothing was."""
    if reasons == Reasons():
        return {}
    return {
        "doses": [
            _plain(dose) | {"answers": [_miss(m) for m in dose.answers], "missed": [_miss(m) for m in dose.missed]}
            for dose in reasons.doses
        ],
        "limits": [_plain(limit) for limit in reasons.limits],
        "clashes": [_plain(clash) for clash in reasons.clashes],
        "remedies": [
            _plain(remedy) | {"changes": [{"id": id_, "text": text} for id_, text in remedy.changes]}
            for remedy in reasons.remedies
        ],
    }


def _plain(record: Any) -> dict[str, Any]:
    return {key: str(value) if isinstance(value, Decimal) else value for key, value in asdict(record).items()}


def _miss(miss: Miss) -> dict[str, Any]:
    return {"id": miss.id, "status": miss.status, "unit": miss.unit, "by": miss.by, "percent": miss.percent}
