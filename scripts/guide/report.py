"""Report of a comparison."""

from __future__ import annotations

from collections.abc import Iterable

from guide.compare import Comparison
from guide.rules import RuleComparison

__all__ = ["report"]


def report(found: Comparison, rules: RuleComparison) -> str:
    """Return the report as Markdown."""
    cells = found.agreeing + len(found.differing)
    return "\n".join(
        (
            "# The tables and the guide",
            "",
            "Written by `scripts/compare_guide DIR`, where DIR has the text or the PDFs of the Complete Guide to",
            "Home Canning (USDA, Agriculture Information Bulletin 539, revised 2015), guides 1 to 7. Every line of",
            "every table on board is compared with the guide's: the bands of altitude, the minutes, the pressures;",
            "and every row of the guide is looked for on board. The figures of the rules (waits, water,",
            "heat, headspace, seals, spoiled jars) are read out of the guide's sentences.",
            "",
            "| what | how many |",
            "| --- | --- |",
            f"| foods | {len(found.products)} |",
            f"| tables of the guide | {len(found.tables)} |",
            f"| cells compared (for each food, pack and jar) | {cells} |",
            f"| agreeing | {found.agreeing} |",
            f"| differing | {len(found.differing)} |",
            f"| figures of the rules, agreeing | {rules.agreeing} |",
            f"| figures of the rules, differing | {len(rules.differing)} |",
            "",
            *_listed("Differing", [*found.differing, *rules.differing]),
            *_listed("In the guide and not on board", found.missing),
            *_listed("Printed in a sentence, not in the table", found.told),
            *_listed("Figures of rules that aren't in guides 1 to 7", rules.elsewhere),
            *_listed("Tables that the text doesn't hold whole: compared with the printed page by eye", found.unread),
        )
    )


def _listed(title: str, lines: Iterable[str]) -> Iterable[str]:
    each = sorted(lines)
    return (f"## {title}", "", *(f"- {line}" for line in each), *([] if each else ["none"]), "")
