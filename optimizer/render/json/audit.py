"""What the audit of the tables found, as JSON."""

import json
from collections.abc import Sequence

from catalog.queries.audit import CHECKS, Finding, name_of


def audit_json(findings: Sequence[Finding], foods: int) -> str:
    """An object: whether nothing is out of line, the checks made, and every finding (`reason` null: out of line)."""
    found = {
        "clean": all(finding.reason for finding in findings),
        "foods": foods,
        "checks": [name_of(check) for check in CHECKS],
        "findings": [
            {
                "food": finding.food,
                "check": finding.check,
                "there_is": finding.there_is,
                "allowed": finding.allowed,
                "file": finding.file,
                "line": finding.line,
                "reason": finding.reason or None,
            }
            for finding in findings
        ],
    }
    return json.dumps(found, indent=2, ensure_ascii=False, allow_nan=False)
