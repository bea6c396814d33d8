"""The search for some weeks in a process of its own gives what it gives here, and can be ended."""

import time

import pytest

from servicedesk.routes.period import Tried, plan_weeks
from servicedesk.routes.period_apart import plan_weeks_apart
from servicedesk.routes.period_feasible import faults_in
from servicedesk.values.trouble import Stopped
from tests.routes.making_weeks import random_weeks

QUICK = Tried(seconds=None, iterations=200)
LONG = Tried(seconds=120.0)


def test_the_same_weeks_come_out_as_without_a_process():
    problem = random_weeks(4, n_stops=12)
    steps, glimpses = [], []

    plan = plan_weeks_apart(
        problem, QUICK, progress=lambda *step: steps.append(step), better=glimpses.append
    )

    here = plan_weeks(problem, QUICK)
    assert plan.orders == here.orders
    assert plan.left_out == here.left_out
    assert plan.problem is problem
    assert faults_in(plan) == faults_in(here)
    assert steps
    assert glimpses


def test_it_is_taken_as_it_is_or_given_up():
    problem = random_weeks(5, n_stops=12)
    began = time.monotonic()
    glimpses = []

    def until_something(*_step):
        if glimpses:
            raise Stopped

    plan = plan_weeks_apart(problem, LONG, progress=until_something, better=glimpses.append)
    assert plan.was_stopped
    assert plan.days

    glimpses.clear()
    with pytest.raises(Stopped):
        plan_weeks_apart(
            problem, LONG, progress=until_something, better=glimpses.append, keep_best=False
        )
    assert time.monotonic() - began < 60


def test_a_mistake_in_the_process_is_raised_here(monkeypatch):
    with pytest.raises(ValueError, match="a search without an end"):
        plan_weeks_apart(random_weeks(4), Tried(seconds=None, iterations=None))
