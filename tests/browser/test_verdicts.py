"""The phone judges as the laptop does: every vector of `tests/data/verdicts.json` in a real
browser, served as phones get it."""

import json
from pathlib import Path

from flask import Flask, send_from_directory
from playwright.sync_api import sync_playwright
from werkzeug.serving import make_server

from pitcrew.base.paths import ROOT, STATIC
from tests.browser.chromium import FLAGS, windowless_path

JUDGE_ALL = """async ([address, table]) => {
  const { judge } = await import(address);
  return table.cases.map((one) => judge(table.limits[one.limit], one.inputs, one.unjudged_because ?? ""));
}"""


def test_every_vector_is_judged_alike_in_chromium() -> None:
    import threading

    app = Flask("vectors", static_folder=None)
    app.add_url_rule("/<path:name>", view_func=lambda name: send_from_directory(STATIC, name))
    app.add_url_rule(
        "/", endpoint="start", view_func=lambda: "<!doctype html><title>vectors</title>"
    )
    server = make_server("127.0.0.1", 0, app, threaded=True)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    table = json.loads(Path(ROOT, "tests/data/verdicts.json").read_text(encoding="utf-8"))
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=windowless_path(), args=FLAGS)
        page = browser.new_page()
        page.goto(f"http://127.0.0.1:{server.server_port}/")
        found = page.evaluate(JUDGE_ALL, ["/js/lib/verdict.js", table])
        browser.close()
    server.shutdown()
    server.server_close()
    wrong = [
        (one["limit"], one["inputs"], judged)
        for one, judged in zip(table["cases"], found, strict=True)
        if (judged["verdict"], judged["sentence"]) != (one["verdict"], one["sentence"])
    ]
    assert len(found) > 400
    assert wrong == []
