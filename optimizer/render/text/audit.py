"""What the audit of the tables found, as text."""

from collections.abc import Sequence

from rich.table import Table
from rich.text import Text

from catalog.queries.audit import CHECKS, Finding
from optimizer.render.text.console import printed


def audit_text(findings: Sequence[Finding], foods: int, width: int = 100, colour: bool = False) -> str:
    """What is out of line, one line each, then the exceptions with their reasons."""
    wrong = [finding for finding in findings if not finding.reason]
    excepted = [finding for finding in findings if finding.reason]
    lines: list[Table | Text] = [Text(f"{foods} foods, {len(CHECKS)} checks: {len(wrong)} out of line", style="bold")]
    for finding in wrong:
        where = f"{finding.file}:{finding.line}" if finding.line else finding.file
        lines.append(
            Text(f"- {finding.food}, {finding.check}: {finding.there_is}; allowed: {finding.allowed} ({where})")
        )
    if excepted:
        lines += [Text(), Text(f"{len(excepted)} exceptions", style="bold")]
    for finding in excepted:
        lines.append(Text(f"- {finding.food}, {finding.check}: {finding.there_is}; {finding.reason}"))
    return printed(lines, width, colour)
