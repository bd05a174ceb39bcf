// Starts what every page has (clock, theme switch, exchange, service worker), then the page named in <body data-page>.

import { startClock } from "./lib/clock.js";
import { one } from "./lib/dom.js";
import { takeToken } from "./store/device.js";
import { startInstall } from "./sync/install.js";
import { ALONE, NAMED, SCRIPTS } from "./screens.js";
import { showUnsent } from "./sync/status.js";
import { startTheme } from "./lib/theme_choice.js";
import { startWorker } from "./sync/worker.js";

takeToken(document);
startTheme(one("[data-theme-choice]"));
startClock(one("[data-clock]"));
showUnsent(one("[data-unsent]"));
startWorker(one("[data-version]"));
startInstall(one("[data-install]"));

const here = document.body.dataset.page ?? "";
if (here === "shell") import("./pages/offline.js").then((shell) => shell.start(ALONE, NAMED));
else SCRIPTS[here]?.().then((page) => page.start());
