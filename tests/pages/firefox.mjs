// Firefox over WebDriver BiDi for the page tests. One JSON object a line:
// in {id, method, ...arguments}; out {id, result} or {id, error}, and {tab, event, ...} as things happen.
import { createInterface } from "node:readline";
import puppeteer from "puppeteer-core";

const [, , program, patience, profile, preferences] = process.argv;
/** Milliseconds for any one step: a busy machine may take long, and a step that hangs is still told by name. */
const PATIENCE = Number(patience);

const browser = await puppeteer.launch({
  browser: "firefox",
  executablePath: program,
  userDataDir: profile || undefined,
  headless: true,
  timeout: PATIENCE,
  protocolTimeout: PATIENCE,
  extraPrefsFirefox: {
    // Drivers turn this off, and then pages from a folder may do what no user's browser lets them.
    "security.fileuri.strict_origin_policy": true,
    ...JSON.parse(preferences),
  },
});
const tabs = new Map();
const people = new Map();

const say = (line) => process.stdout.write(JSON.stringify(line) + "\n");

function listen(id, page) {
  const tell = (event, text, kind = "") => say({ tab: id, event, text, kind });
  page.on("console", (line) => tell("message", line.text(), line.type() === "warn" ? "warning" : line.type()));
  page.on("pageerror", (error) => tell("error", String(error)));
  page.on("request", (request) => tell("request", request.url()));
  page.on("requestfailed", (request) => {
    const why = request.failure()?.errorText ?? "no reason given";
    // What is given up because the page itself was left is no failure.
    if (why !== "NS_BINDING_ABORTED") tell("failure", `${request.url()} (${why})`);
  });
  page.on("response", (response) => {
    if (response.status() >= 400) tell("failure", `${response.url()} (status ${response.status()})`);
  });
  page.on("dialog", async (dialog) => {
    tell("dialog", dialog.message());
    await dialog.accept();
  });
}

/** A person whose target has just moved away tries again. A target that stays away is told. */
async function click(page, selector) {
  const until = Date.now() + PATIENCE;
  for (;;) {
    try {
      return await page.click(selector);
    } catch (error) {
      if (!/not clickable|detached/.test(String(error)) || Date.now() > until) throw error;
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
  }
}

const fresh = (downloadPath) => browser.createBrowserContext({ downloadBehavior: { policy: "allow", downloadPath } });

const methods = {
  async arrive({ person, downloads }) {
    people.set(person, await fresh(downloads));
  },
  async leave({ person }) {
    await people.get(person).close();
    people.delete(person);
  },
  async tab({ tab, downloads, person }) {
    const context = profile ? browser.defaultBrowserContext() : people.get(person) ?? await fresh(downloads);
    const page = await context.newPage();
    page.setDefaultTimeout(PATIENCE);
    listen(tab, page);
    tabs.set(tab, page);
  },
  async close({ page, tab, asked }) {
    tabs.delete(tab);
    if (asked) await page.close({ runBeforeUnload: true });
    else await (profile || [...people.values()].includes(page.browserContext()) ? page : page.browserContext()).close();
  },
  async kill() {
    const running = browser.process();
    const ended = new Promise((resolve) => running.once("exit", resolve));
    // It leads a group of its own: the processes of its pages go with it.
    process.kill(-running.pid, "SIGKILL");
    const when = Date.now();
    await ended;
    return when;
  },
  before: async ({ page, script }) => void (await page.evaluateOnNewDocument(script)),
  goto: async ({ page, address }) => void (await page.goto(address)),
  evaluate: ({ page, expression }) => page.evaluate(expression),
  type: ({ page, text }) => page.keyboard.type(text),
  async press({ page, keys }) {
    const held = keys.slice(0, -1);
    for (const key of held) await page.keyboard.down(key);
    await page.keyboard.press(keys.at(-1));
    for (const key of held.reverse()) await page.keyboard.up(key);
  },
  click: ({ page, selector }) => click(page, selector),
  /**
   * Click, and wait until Firefox says that the file is whole; gives its path. Looking into the folder is not enough: a file
   * is written there under a name made of chance, and moved. Puppeteer passes this news on from the protocol, but has no word for it.
   */
  async download({ page, selector }) {
    const saved = new Promise((resolve, reject) => {
      const stop = setTimeout(() => finish(reject, new Error(`no file was saved within ${PATIENCE} ms`)), PATIENCE);
      const onEnd = ({ context, status, filepath }) => {
        if (context !== page.mainFrame()._id) return;
        if (status === "complete") finish(resolve, filepath);
        else finish(reject, new Error(`the download was ${status}`));
      };
      const finish = (settle, value) => {
        clearTimeout(stop);
        browser.connection.off("browsingContext.downloadEnd", onEnd);
        settle(value);
      };
      browser.connection.on("browsingContext.downloadEnd", onEnd);
    });
    const [path] = await Promise.all([saved, click(page, selector)]);
    return path;
  },
  hover: ({ page, selector }) => page.hover(selector),
  select: async ({ page, selector, value }) => void (await page.select(selector, value)),
  upload: async ({ page, selector, files }) => (await page.$(selector)).uploadFile(...files),
  viewport: ({ page, width, height }) => page.setViewport({ width, height }),
  screenshot: async ({ page, path, fullPage }) => void (await page.screenshot({ path, fullPage })),
  pdf: async ({ page, path }) => void (await page.pdf({ path, format: "A4", printBackground: true })),
};

say({ id: 0, result: "ready" });
for await (const line of createInterface({ input: process.stdin })) {
  const { id, method, ...rest } = JSON.parse(line);
  try {
    const result = await methods[method]({ ...rest, page: tabs.get(rest.tab) });
    say({ id, result: result ?? null });
  } catch (error) {
    say({ id, error: String(error?.message ?? error) });
  }
}
// It may have been killed already.
await browser.close().catch(() => {});
