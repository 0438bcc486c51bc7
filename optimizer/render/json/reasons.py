"""The reasons of a plan as plain data for JSON."""

from dataclasses import asdict, replace
from datetime import date
from decimal import Decimal
from typing import Any

from optimizer.assess.result import Miss
from optimizer.sheet.reasons import Bill, Reasons, Remedy


def reasons_object(reasons: Reasons) -> dict[str, Any]:
    """What was asked for, each with its line of words; empty where nothing was."""
    if reasons == Reasons():
        return {}
    found = {
        "doses": [
            _plain(dose) | {"answers": [_miss(m) for m in dose.answers], "missed": [_miss(m) for m in dose.missed]}
            for dose in reasons.doses
        ],
        "limits": [_plain(limit) for limit in reasons.limits],
        "losses": [_plain(loss) for loss in reasons.losses],
        "clashes": [_plain(conflict) for conflict in reasons.conflicts],
        "remedies": [_remedy(remedy) for remedy in reasons.remedies],
    }
    return found | ({"note": reasons.note} if reasons.note else {})


def _remedy(remedy: Remedy) -> dict[str, Any]:
    """A remedy; without prices it has no bill."""
    changes = [{"id": id_, "text": text} for id_, text in remedy.changes]
    plain: dict[str, Any] = _plain(replace(remedy, bill=None)) | {"changes": changes}
    del plain["bill"]
    return plain if remedy.bill is None else plain | {"bill": _bill(remedy.bill)}


def _bill(bill: Bill) -> dict[str, Any]:
    """What a remedy costs: money as decimal text, null where a price is not known."""
    additions = [_plain(addition) | {"packages": [_plain(p) for p in addition.packages]} for addition in bill.additions]
    return _plain(bill) | {"additions": additions}


def _plain(record: Any) -> dict[str, Any]:
    return {key: str(value) if isinstance(value, Decimal | date) else value for key, value in asdict(record).items()}


def _miss(miss: Miss) -> dict[str, Any]:
    return {"id": miss.id, "status": miss.status, "unit": miss.unit, "by": miss.by, "percent": miss.percent}
