"""Writes reference rows as TOML. Used by the make_*.py scripts beside it."""
import os
import numpy as np


def toml(value):
    if isinstance(value, (bool, np.bool_)):
        return "true" if value else "false"
    if isinstance(value, str):
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
    if isinstance(value, (list, tuple, np.ndarray)):
        return "[" + ", ".join(toml(v) for v in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, (int, np.integer)):
        return str(int(value))
    return repr(float(value))


class Rows:
    """Collects rows and writes them beside this file."""

    def __init__(self, script, subject):
        self.script, self.subject, self.rows = script, subject, []

    def add(self, name, check, kind, source, unit, tolerance, reason, inputs, expected, call=None, must_differ=False):
        row = {"name": name, "check": check, "kind": kind, "source": source}
        if call:
            row["call"] = call
        row |= {"unit": unit, "tolerance": tolerance, "reason": reason}
        if must_differ:
            row["must_differ"] = True
        row |= {"inputs": inputs, "expected": expected}
        self.rows.append(row)

    def write(self, file_name):
        here = os.path.dirname(os.path.abspath(__file__))
        with open(os.path.join(here, file_name), "w", encoding="utf-8") as file:
            file.write(f"# Made by {self.script}; do not edit by hand.\nsubject = {toml(self.subject)}\n")
            for row in self.rows:
                file.write("\n[[row]]\n")
                for key, value in row.items():
                    file.write(f"{key} = {toml(value)}\n")
        print(file_name, len(self.rows), "rows")
