"""What cordwain writes, read again by the parsers of Python.

reread.py csv FILE          the cells: the byte 1F ends a cell, 1E a line
reread.py json FILE PATH..  the values there ("findings.0.rule"), a line each, as JSON
reread.py lines FILE        what each line is
reread.py sarif FILE        what is wrong; nothing if all is right
"""
import csv
import io
import json
import re
import sys


def read(name):
    with open(name, "rb") as file:
        return file.read().decode("utf-8", "strict")


def refuse_twins(pairs):
    keys = [key for key, _ in pairs]
    assert len(keys) == len(set(keys)), "a key stands twice: %r" % keys
    return dict(pairs)


def refuse_constant(name):
    raise ValueError("%s is no number of JSON" % name)


def load(text):
    bad = [c for c in text if (c != "\n" and ord(c) < 32) or ord(c) > 126]
    assert not bad, "not plain ASCII: %r" % bad[:5]
    return json.loads(text, object_pairs_hook=refuse_twins, parse_constant=refuse_constant)


def is_number(cell):
    return re.fullmatch(r"-?\d+(\.\d+)?(e[-+]?\d+)?", cell) is not None


def check_cell(cell):
    for piece in cell.split(";"):
        first = piece.strip(" \u00a0\u3000\t")[:1]
        assert is_number(cell) or first not in set("=+-@\t\r＝＋－＠") or first == "", cell
    assert not re.search("[\x00-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2028\u2029\u2066-\u2069]", cell), repr(cell)


def reread_csv(name):
    text = read(name)
    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "") and "\r" not in text.replace("\r\n", "")
    csv.field_size_limit(1 << 24)
    rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    for row in rows:
        assert len(row) == len(rows[0]) == 25, row
        for cell in row:
            check_cell(cell)
    sys.stdout.write("".join("".join(c + "\x1f" for c in row) + "\x1e" for row in rows))


def at(value, path):
    for key in path.split("."):
        value = value[int(key)] if isinstance(value, list) else value[key]
    return value


def reread_json(name, paths):
    value = load(read(name))
    for path in paths:
        print(json.dumps(at(value, path)))


def reread_lines(name):
    text = read(name)
    assert text.endswith("\n")
    told = 0
    for line in text[:-1].split("\n"):
        value = load(line)
        kind = list(value.items())[0]
        assert kind[0] == "line"
        told += kind[1] == "finding"
        if kind[1] == "tally":
            assert value["told"] == told
            told = 0
        print(kind[1])


# --- SARIF 2.1.0, by the sections of the OASIS standard of 27 March 2020 --------------------

URI = re.compile(r"(file://)?([A-Za-z0-9\-._~/]|%[0-9A-F]{2})+")


def message_wrong(message):
    text = message.get("text")
    if not isinstance(text, str) or not text:
        yield "3.11.8: a message has a text"
        return
    if re.search(r"\{|\}", text.replace("{{", "").replace("}}", "")):
        yield "3.11.5: a lone brace: %r" % text
    if re.search(r"\]\(", text):
        yield "3.11.6: a link: %r" % text


def tool_wrong(tool):
    driver = tool["driver"]  # 3.18.2
    if not driver.get("name"):
        yield "3.19.8: the driver has a name"
    rules = driver.get("rules", [])
    ids = [rule.get("id") for rule in rules]
    if None in ids or len(set(ids)) != len(ids):
        yield "3.49.3: each rule has an id of its own"
    for rule in rules:
        for key in ("shortDescription", "fullDescription", "help"):  # 3.49.9, 3.49.10, 3.49.13
            yield from message_wrong(rule[key])
        if rule["defaultConfiguration"]["level"] not in ("none", "note", "warning", "error"):
            yield "3.50.3: a level"
        if not isinstance(rule["defaultConfiguration"]["enabled"], bool):
            yield "3.50.2: enabled"


def location_wrong(location, artifacts):
    physical = location.get("physicalLocation")
    if physical is None:
        return
    artifact = physical["artifactLocation"]  # 3.29.3
    if "uri" not in artifact and "index" not in artifact:
        yield "3.4.2: a location has a uri or an index"
    if "uri" in artifact and not URI.fullmatch(artifact["uri"]):
        yield "3.4.3: not a reference of RFC 3986: %r" % artifact["uri"]
    if not 0 <= artifact["index"] < len(artifacts):
        yield "3.4.5: the index of an artifact"
    elif artifacts[artifact["index"]]["location"].get("uri") != artifact.get("uri"):
        yield "3.4.5: the artifact is another"
    region = physical.get("region")
    if region is not None and not (region["startLine"] >= 1 and region["startColumn"] >= 1):
        yield "3.30.5, 3.30.6: lines and columns begin with 1"


def result_wrong(result, run):
    rules = run["tool"]["driver"]["rules"]
    if rules[result["ruleIndex"]]["id"] != result["ruleId"]:
        yield "3.27.6: ruleIndex and ruleId differ"
    if result["kind"] not in ("notApplicable", "pass", "fail", "review", "open", "informational"):
        yield "3.27.9: kind"
    if (result["kind"] == "fail") != (result["level"] in ("note", "warning", "error")):
        yield "3.27.10: a level other than none goes with fail"
    yield from message_wrong(result["message"])  # 3.27.11
    for location in result["locations"]:  # 3.27.12
        yield from location_wrong(location, run["artifacts"])
    for key, value in result["partialFingerprints"].items():  # 3.27.17
        if not re.fullmatch(r"[A-Za-z]+/v\d+", key) or not isinstance(value, str):
            yield "3.27.17: a fingerprint"
    for suppression in result["suppressions"]:  # 3.27.23
        if suppression["kind"] not in ("inSource", "external"):
            yield "3.35.2: kind of a suppression"
        if suppression["status"] not in ("accepted", "underReview", "rejected"):
            yield "3.35.3: status of a suppression"


def run_wrong(run):
    yield from tool_wrong(run["tool"])  # 3.14.6
    if run["columnKind"] not in ("utf16CodeUnits", "unicodeCodePoints"):
        yield "3.14.17: columnKind"
    for invocation in run["invocations"]:
        if not isinstance(invocation["executionSuccessful"], bool):
            yield "3.20.14: executionSuccessful"
    for artifact in run["artifacts"]:
        location = artifact["location"]
        if "uri" in location and not URI.fullmatch(location["uri"]):
            yield "3.4.3: not a reference of RFC 3986: %r" % location["uri"]
        for name, value in artifact.get("hashes", {}).items():
            if name != "sha-256" or not re.fullmatch("[0-9a-f]{64}", value):
                yield "3.24.11: a hash"
    prints = [json.dumps(result["partialFingerprints"]) for result in run["results"]]
    if len(set(prints)) != len(prints):
        yield "3.27.17: two results have one fingerprint"
    for result in run["results"]:  # 3.14.23
        yield from result_wrong(result, run)


def reread_sarif(name):
    log = load(read(name))
    if log["version"] != "2.1.0":
        print("3.13.2: version")
    if not log["$schema"].startswith("https://docs.oasis-open.org/sarif/sarif/v2.1.0/"):
        print("3.13.3: $schema")
    for run in log["runs"]:  # 3.13.4
        for wrong in run_wrong(run):
            print(wrong)


if sys.argv[1] == "csv":
    reread_csv(sys.argv[2])
elif sys.argv[1] == "json":
    reread_json(sys.argv[2], sys.argv[3:])
elif sys.argv[1] == "lines":
    reread_lines(sys.argv[2])
else:
    reread_sarif(sys.argv[2])
