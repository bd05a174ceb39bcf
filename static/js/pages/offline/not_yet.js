// What stands in the place of a piece that the last snapshot did not bring, as one of an earlier build.

import { el } from "../../lib/dom.js";

export const notYet = () => el("p", { class: "banner" }, "This phone has not got this from the laptop yet. Exchange with it once.");
