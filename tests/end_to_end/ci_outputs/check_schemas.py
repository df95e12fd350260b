"""Holds JSON documents against JSON Schemas with the jsonschema package, and damages them to see them refused.

    check_schemas.py PROGRAM SCHEMA=DOCUMENT...

Every schema must be one by its own meta-schema and every document valid. Then, at up to SPOTS places spread over a
document, it is damaged in each way the schema speaks of there; every damaged one must be refused, and by PROGRAM too
where it is a document that the program reads. Exit codes: 0 all as wanted, 1 not.
"""

import copy
import json
import os
import subprocess
import sys
import tempfile

import jsonschema

SPOTS = 25
ASKED = 6  # of the damaged ones of a document, how many the program is asked about


def resolved(schema, root):
    """A schema without `$ref` and without the words for numbers that are not finite."""
    if "$ref" in schema:
        schema = root["$defs"][schema["$ref"].rsplit("/", 1)[1]]
    return schema["anyOf"][0] if "anyOf" in schema else schema


def spots(value, schema, root, path=()):
    """(path, value, schema) of every value in the document."""
    schema = resolved(schema, root)
    yield path, value, schema
    if schema.get("type") == "object":
        for name, member in value.items():
            yield from spots(member, schema["properties"][name], root, path + (name,))
    elif schema.get("type") == "array":
        for place, item in enumerate(value):
            yield from spots(item, schema["items"], root, path + (place,))


def damages(value, schema):
    """(what, damaged value) for one spot."""
    kind = schema.get("type")
    if kind == "object":
        yield "unknown field", {**value, "spare_wheel": 1}
        for name in schema.get("required", ()):
            yield f"without {name}", {k: v for k, v in value.items() if k != name}
    elif kind == "array":
        yield "no list", 1
        if schema.get("minItems"):
            yield "empty list", []
        if "maxItems" in schema:
            yield "long list", value * (schema["maxItems"] + 1)
    elif kind in ("number", "integer"):
        yield "word for a number", "much"
        if "maximum" in schema:
            yield "too large", schema["maximum"] + abs(schema["maximum"]) * 0.01 + 1
            yield "too small", schema["minimum"] - abs(schema["minimum"]) * 0.01 - 1
        if kind == "integer":
            yield "half a number", value + 0.5
    elif kind == "string":
        yield "number for text", 1
        if schema.get("minLength"):
            yield "empty text", ""
    elif kind == "boolean":
        yield "number for a truth", 1
    elif "enum" in schema:
        yield "wrong word", schema["enum"][0] + "_MAYBE"


def with_value(document, path, value):
    if not path:
        return value
    changed = copy.deepcopy(document)
    holder = changed
    for step in path[:-1]:
        holder = holder[step]
    holder[path[-1]] = value
    return changed


def program_refuses(program, title, document, folder):
    path = os.path.join(folder, "damaged.json")
    with open(path, "w", encoding="utf-8") as file:
        json.dump(document, file)
    answer = subprocess.run(
        [program, "diff", "--type", title, path, path], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
        check=False)
    return answer.returncode == 65


def check(program, schema, document, folder):
    """Complaints about one document, and how many damaged ones were tried."""
    validator = jsonschema.Draft202012Validator(schema)
    complaints = [f"{'.'.join(map(str, e.absolute_path))}: {e.message}" for e in validator.iter_errors(document)]
    places = list(spots(document, schema, schema))
    damaged = [
        (path, what, worse)
        for path, value, part in places[:: max(1, len(places) // SPOTS)]
        for what, worse in damages(value, part)
    ]
    asked = {} if schema["title"].endswith(".Run") else set(range(0, len(damaged), max(1, len(damaged) // ASKED)))
    for i, (path, what, worse) in enumerate(damaged):
        changed = with_value(document, path, worse)
        if validator.is_valid(changed):
            complaints.append(f"{'.'.join(map(str, path))}: {what} is let through")
        if i in asked and not program_refuses(program, schema["title"], changed, folder):
            complaints.append(f"{'.'.join(map(str, path))}: {what} is let through by the program")
    return complaints, len(damaged)


def main():
    program, pairs = sys.argv[1], [pair.split("=", 1) for pair in sys.argv[2:]]
    wrong = tried = 0
    with tempfile.TemporaryDirectory() as folder:
        for schema_path, document_path in pairs:
            with open(schema_path, encoding="utf-8") as file:
                schema = json.load(file)
            with open(document_path, encoding="utf-8") as file:
                document = json.load(file)
            jsonschema.Draft202012Validator.check_schema(schema)
            complaints, count = check(program, schema, document, folder)
            tried += count
            wrong += len(complaints)
            for complaint in complaints:
                print(f"{document_path}: {complaint}")
    print(f"{len(pairs)} documents, {tried} damaged ones, {wrong} complaints")
    return 1 if wrong or not pairs or tried < 10 * len(pairs) else 0


if __name__ == "__main__":
    sys.exit(main())
