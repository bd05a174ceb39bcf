"""The table of what worsens readiness, read in Python: what static/js/pages/offline/worse.js must
make of it."""

from datetime import datetime
from typing import Any
from urllib.parse import quote

Data = dict[str, Any]


def worsened(table: Data, snapshot: Data, entries: list[Data], now: str) -> Data:
    """The word, its reasons, and how many of them this phone added."""
    events = [*_begun(snapshot, now), *_no_battery(snapshot, entries), *entries]
    said: set[str] = set()
    added = []
    for row in table["rows"]:
        for event in events:
            if not _holds(row, snapshot, event, entries) or row["once"] in said:
                continue
            said |= {row["once"]} - {""}
            added.append(_reason(row, table["own"], snapshot, event["body"]))
    word, before = snapshot["readiness"]["word"], snapshot["readiness"]["reasons"]
    if not added:
        return {"word": word, "reasons": before, "added": 0}
    kept = before if word == "hold" else []
    return {"word": "hold", "reasons": [*added, *kept], "added": len(added)}


def _key(body: Data) -> str:
    return f"{body.get('check')}@{body.get('part')}"


def _hit(snapshot: Data, body: Data) -> str:
    answers = body.get("answers") or {}
    hits = snapshot["debrief"]["hits"]
    return next((hit["says"] for hit in hits if answers.get(hit["name"]) in hit["given"]), "")


def _facts(snapshot: Data, event: Data, entries: list[Data]) -> dict[str, bool]:
    body, kind = event["body"], event["kind"]
    critical = {part["id"] for part in snapshot["parts"] if part["climb_critical"]}
    must = {check["key"] for check in snapshot["checks"] if check["must"]}
    return {
        "cleared": snapshot["climb"]["state"] == "cleared",
        "critical": body.get("part") in critical,
        "hit": kind == "debrief" and bool(_hit(snapshot, body)),
        "later": any(
            other["kind"] == "reading"
            and other["id"] > event.get("id", "")
            and _key(other["body"]) == _key(body)
            for other in entries
        ),
        "logged": any(
            other["kind"] == "fault" and other["body"].get("reading") == event.get("id")
            for other in entries
        ),
        "must": _key(body) in must,
        "ok_reading": kind == "reading" and body.get("verdict") == "ok",
    }


def _holds(row: Data, snapshot: Data, event: Data, entries: list[Data]) -> bool:
    found = _facts(snapshot, event, entries)
    return (
        row["kind"] in ("", event["kind"])
        and all(event["body"].get(name) in values for name, values in row["given"].items())
        and all(found[name] for name in row["facts"])
        and not any(found[name] for name in row["unless"])
    )


def _reason(row: Data, own: str, snapshot: Data, body: Data) -> dict[str, str]:
    parts = {part["id"]: part["label"] for part in snapshot["parts"]}
    checks = {check["key"]: check["label"] for check in snapshot["checks"]}
    key = _key(body)
    texts = {
        **body,
        "part": parts.get(body.get("part"), body.get("part")),
        "check": checks.get(key, body.get("check")),
        "hit": _hit(snapshot, body),
        "match": (snapshot["next"] or {}).get("label"),
    }
    text = row["says"].format_map(texts) + (f" {own}" if row["own"] else "")
    return {"text": text, "href": row["href"].format_map({**body, "key": quote(key, safe="")})}


def _begun(snapshot: Data, now: str) -> list[Data]:
    coming = snapshot["next"] or {}
    start = coming.get("expected") or coming.get("planned")
    begun = start and datetime.fromisoformat(now) > datetime.fromisoformat(start)
    return [{"kind": "match_begun", "body": {}}] if begun else []


def _no_battery(snapshot: Data, entries: list[Data]) -> list[Data]:
    moves = {
        entry["body"]["battery"]: entry["body"]["to"]
        for entry in entries
        if entry["kind"] == "battery_move"
    }
    offered = [battery["name"] for battery in snapshot["batteries"] if battery["offered"]]
    gone = offered and all(moves.get(name, "robot") != "robot" for name in offered)
    return [{"kind": "no_battery", "body": {}}] if gone else []
