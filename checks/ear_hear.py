"""How a take is heard by the built program: the one place that knows the command."""

# `waterkey hear FILE --json` prints the report of `crates/ear/src/report/shape.rs`.
COMMAND = ("hear", "{file}", "--json")


def hear(waterkey, file):
    """The report of a file heard without a score."""
    return waterkey(*(part.format(file=file) for part in COMMAND), as_json=True)


def notes(report):
    """All notes of a report, in time order."""
    found = list(report["other_notes"])
    for line in report["lines"]:
        found += line["notes"]
    return sorted((n for n in found if n["heard_hz"]), key=lambda n: n["from_s"])
