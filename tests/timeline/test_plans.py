"""Plan against deed: what was planned, and whether it was kept, changed or not heard of again."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from shoplog.timeline import course
from tests.timeline.spoken import project_of

CASES = json.loads(Path(__file__).with_name("plans.json").read_text("utf-8"))


@pytest.mark.parametrize("case", CASES, ids=[c["case"] for c in CASES])
def test_plan(case: dict[str, Any]) -> None:
    """Every plan gets its verdict, in words that name the deed."""
    project = project_of(case["recordings"])
    facts = {kept.id: kept.fact for kept in project.facts()}
    found = {facts[plan.planned].quote.lower(): plan for plan in course(project).plans}
    for quote, verdict, words in case["plans"]:
        plan = next(plan for said, plan in found.items() if quote in said)
        assert verdict == plan.verdict, plan.words
        assert words in plan.words
        if verdict == "not heard of again":
            assert plan.deed is None
        elif plan.deed is not None:
            assert facts[plan.deed].status in ("done", "denied")
