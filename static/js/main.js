// Starts what every page has (clock, theme switch, exchange, service worker), then the page named in <body data-page>.

import { startClock } from "./lib/clock.js";
import { one } from "./lib/dom.js";
import { takeToken } from "./store/device.js";
import { startInstall } from "./sync/install.js";
import { showUnsent } from "./sync/status.js";
import { startTheme } from "./lib/theme_choice.js";
import { startWorker } from "./sync/worker.js";

/** Pages that need a script of their own. */
const PAGES = {
  batteries: () => import("./pages/batteries.js"),
  join: () => import("./pages/join.js"),
  faults: () => import("./pages/photos.js"),
  receive: () => import("./pages/receive.js"),
  now: () => import("./pages/now.js"),
  shell: () => import("./pages/offline.js"),
  walk: () => import("./pages/walk.js"),
};

takeToken(document);
startTheme(one("[data-theme-choice]"));
startClock(one("[data-clock]"));
showUnsent(one("[data-unsent]"));
startWorker(one("[data-version]"));
startInstall(one("[data-install]"));

const start = PAGES[document.body.dataset.page ?? ""];
if (start) start().then((page) => page.start());
