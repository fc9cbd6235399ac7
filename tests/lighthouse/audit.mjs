// Lighthouse over the pages that come in as addresses, one a line; a line of JSON for each goes out: its scores, and what failed.
import { createInterface } from "node:readline";
import { launch } from "chrome-launcher";
import lighthouse from "lighthouse";

const [, , program, ...flags] = process.argv;
/** The two that depend on the pages alone. How fast a page loads is measured by `make bench`. */
const CATEGORIES = ["accessibility", "best-practices"];

const chrome = await launch({ chromePath: program, chromeFlags: ["--headless=new", ...flags], logLevel: "silent" });

/** Every audit of a category that counts and has not passed. */
function failed(report, category) {
  return category.auditRefs
    .map(({ id, weight }) => ({ weight, audit: report.audits[id] }))
    .filter(({ weight, audit }) => weight > 0 && audit.score !== null && audit.score < 1)
    .map(({ audit }) => ({
      id: audit.id,
      title: audit.title,
      where: (audit.details?.items ?? []).map((item) => item.node?.snippet ?? item.description ?? JSON.stringify(item).slice(0, 300)),
    }));
}

try {
  for await (const address of createInterface({ input: process.stdin })) {
    const { lhr } = await lighthouse(address, {
      port: chrome.port,
      onlyCategories: CATEGORIES,
      logLevel: "silent",
      disableFullPageScreenshot: true,
      // Long enough for what a page's own script draws; the rest of Lighthouse's patience serves to measure speed.
      pauseAfterFcpMs: 0,
      pauseAfterLoadMs: 0,
      networkQuietThresholdMs: 250,
      cpuQuietThresholdMs: 250,
    });
    if (lhr.runtimeError) throw new Error(`${address}: ${lhr.runtimeError.message}`);
    const found = CATEGORIES.map((name) => [name, { score: lhr.categories[name].score * 100, failed: failed(lhr, lhr.categories[name]) }]);
    process.stdout.write(JSON.stringify({ address, version: lhr.lighthouseVersion, ...Object.fromEntries(found) }) + "\n");
  }
} finally {
  chrome.kill();
}
