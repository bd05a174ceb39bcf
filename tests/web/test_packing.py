"""The packed files of the app: what a module becomes, what is refused, and that nothing is left
out."""

import re

import pytest

from pitcrew.base.paths import STATIC
from pitcrew.web import packing
from pitcrew.web.pages import SCREENS
from tests.web.node import needs_node, run

MODULE = """// What it is for.

import { el, one } from "../lib/dom.js";
import { keep } from "./store.js";

/** @typedef {import("../lib/dom.js").Thing} Thing */

const KINDS = "image/jpeg,image/*"; // stays
/** Says it. @param {string} words */
export function say(words) {
  // A line of its own.
  return el("p", {}, words);
}
export const open = async () => (await import("./later.js")).start();
export class Box {}
"""
PACKED = """"pages/a.js"() {
const { el, one } = need("lib/dom.js");
const { keep } = need("pages/store.js");


const KINDS = "image/jpeg,image/*"; // stays
function say(words) {
  return el("p", {}, words);
}
const open = async () => (await needLater("pages/later.js")).start();
class Box {}
return { say, open, Box };
},
"""
EXPORTS = """
  const { need } = await import("data:text/javascript," + encodeURIComponent(given.text));
  const found = {};
  for (const name of given.names) found[name] = [Object.keys(need(name)).sort(), Object.keys(await js(name)).sort()];
  return found;
"""


def test_a_module_becomes_a_function_that_returns_what_it_exports() -> None:
    assert packing.packed_module("pages/a.js", MODULE) == PACKED


@pytest.mark.parametrize(
    "line",
    [
        'import dom from "../lib/dom.js";',
        'import * as dom from "../lib/dom.js";',
        'import { a as b } from "./a.js";',
        "import './a.js';",
        "export default 1;",
        "export let count = 0;",
        "export { a };",
        "const page = import(name);",
    ],
)
def test_another_form_of_import_or_export_is_refused_by_name(line: str) -> None:
    with pytest.raises(ValueError, match=re.escape("pages/a.js cannot be packed for phones")):
        packing.packed_module("pages/a.js", f"const a = 1;\n{line}\n")


def test_every_module_and_every_sheet_of_the_screen_is_packed() -> None:
    names = {
        path.relative_to(STATIC / "js").as_posix() for path in (STATIC / "js").rglob("*.js")
    } - set(packing.ALONE)
    packed = packing.packed(packing.SCRIPTS, SCREENS)
    found = re.findall(r'^"([^"]+)"\(\) \{$', packed, re.MULTILINE)
    assert set(found) == names | {packing.MADE}
    sheets = {path.stem for path in (STATIC / "css").glob("*.css")}
    assert sheets == {*packing.SHEETS, packing.ON_PAPER} and set(packing.FIRST) <= sheets


@needs_node
def test_packed_modules_export_what_the_modules_do() -> None:
    """Those without a page around them; the rest runs in the browser tests."""
    names = [f"lib/{path.name}" for path in sorted((STATIC / "js" / "lib").glob("*.js"))]
    text = packing.packed(packing.SCRIPTS, SCREENS).replace(f'need("{packing.START}");\n', "")
    found = run(EXPORTS, {"text": text, "names": names})
    assert found and {name: packed for name, (packed, _) in found.items()} == {
        name: alone for name, (_, alone) in found.items()
    }
