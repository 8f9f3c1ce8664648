"""Every job on a list, by its name."""

from __future__ import annotations

from diag.workshop import belt_choice, recap
from diag.workshop.job import Job

JOBS: dict[str, Job] = {one.name: one for one in (belt_choice.JOB, recap.JOB)}
