"""The job: the file a builder writes, read with its units and limits, every blank filled from one table.

model      Job and its sections (vehicle, front, drive), nothing filled in
quantity   one measurement as typed: number, unit, standing, spread
files      read_job, parse_job, write_starter, edit_field
checks     faults between fields
table      the one table of guesses
priors     priors, words: every number and word, typed or guessed
schema     the file's JSON Schema
template   the starter file
"""

from shroudwright.job.files import edit_field, parse_job, read_job, write_starter
from shroudwright.job.model import Job

__all__ = ["Job", "edit_field", "parse_job", "read_job", "write_starter"]
