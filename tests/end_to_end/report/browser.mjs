// Looks at a report in a browser and prints one JSON line a check: what, whether it holds, what was seen.
//   browser.mjs PAGE.html RUN.json HOSTILE.html SEASON.html DRIFT.json CHROMIUM
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { chromium } from "playwright-core";

const [page_file, run_file, hostile_file, season_file, drift_file, executablePath] = process.argv.slice(2);
const run = JSON.parse(readFileSync(run_file, "utf8"));
const drift = JSON.parse(readFileSync(drift_file, "utf8"));
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const screenshots = process.env.SCREENSHOTS;

const expect = (what, holds, seen = "") => console.log(JSON.stringify({ what, holds: Boolean(holds), seen: JSON.stringify(seen) ?? "" }));
const same = (what, seen, wanted) => expect(`${what}: ${JSON.stringify(wanted)}`, JSON.stringify(seen) === JSON.stringify(wanted), seen);

const browser = await chromium.launch({
  executablePath,
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"],
});

const open = async (file, colorScheme) => {
  const page = await browser.newPage({ viewport: { width: 1400, height: 1000 }, colorScheme });
  const noise = [], requests = [];
  page.on("console", (m) => noise.push(`${m.type()}: ${m.text()}`));
  page.on("pageerror", (e) => noise.push(String(e.stack)));
  page.on("dialog", (d) => (noise.push(`dialog: ${d.message()}`), d.dismiss()));
  page.on("request", (r) => requests.push(r.url()));
  await page.goto(`file://${file}`);
  return { page, noise, requests };
};

// Share of a plot's canvas in, or near, a colour of the style.
const share = (canvas, name) =>
  canvas.evaluate((c, name) => {
    const probe = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
    probe.fillStyle = getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();
    probe.fillRect(0, 0, 1, 1);
    const [r, g, b] = probe.getImageData(0, 0, 1, 1).data;
    const copy = Object.assign(document.createElement("canvas"), { width: c.width, height: c.height });
    const context = copy.getContext("2d", { willReadFrequently: true });
    context.drawImage(c, 0, 0);
    const { data } = context.getImageData(0, 0, c.width, c.height);
    let near = 0;
    for (let i = 0; i < data.length; i += 4)
      near += data[i + 3] > 200 && Math.abs(data[i] - r) + Math.abs(data[i + 1] - g) + Math.abs(data[i + 2] - b) < 30;
    return near / (data.length / 4);
  }, name);

const scales = (page, key) =>
  page.evaluate((key) => uPlot.sync(key).plots.map((p) => [p.scales.x.min, p.scales.x.max]), key);
const readings = (panels) => panels.locator(".values b").allTextContents();

const checkDrawn = async (page) => {
  const first = page.locator("details.scenario").first();
  same("the gravest scenario stands first and open", await first.locator(".name").textContent(), "frost_step");
  expect("it is open", await first.evaluate((d) => d.open));
  const canvases = await first.locator("canvas").all();
  expect("it has a dozen plots", canvases.length >= 10, canvases.length);
  let drawn = 0;
  for (const canvas of canvases)
    drawn += (await share(canvas, "candidate")) > 0.001 || (await share(canvas, "input")) > 0.001;
  same("every plot shows a line", drawn, canvases.length);
  const response = first.locator(".panel.whole canvas");
  for (const kind of ["candidate", "baseline", "reference"])
    expect(`the response shows the ${kind}`, (await share(response, kind)) > 0.0003, await share(response, kind));
  const marks = await first.locator(".marks tbody tr").allTextContents();
  const delay = run.scenarios.find((s) => s.scenario === "frost_step").measures.find((m) => m.measure === "delay_90_percent");
  expect("the delay at 90 % stands beside it", marks[2].includes(delay.value.toFixed(1)) && marks[2].includes(delay.baseline.toFixed(1)), marks);
};

const checkCursor = async (page) => {
  const panels = page.locator("details.scenario").first().locator(".panels[role=group]");
  await panels.scrollIntoViewIfNeeded();
  expect("no value is read before", (await readings(panels)).every((t) => t === "–"));
  const over = panels.locator(".u-over").nth(1);
  await over.scrollIntoViewIfNeeded();
  await over.hover({ position: { x: 150, y: 60 } });
  const values = await readings(panels);
  expect("the cursor over one plot reads values in all", values.length > 10 && values.every((t) => /^-?[\d.]+$/.test(t)), values);
  const lines = await panels.locator(".u-cursor-x").evaluateAll((all) => all.map((e) => Math.round(e.getBoundingClientRect().left - e.parentElement.getBoundingClientRect().left)));
  const widths = await panels.locator(".u-over").evaluateAll((all) => all.map((e) => e.clientWidth));
  const at = lines.map((x, i) => Math.round((1000 * x) / widths[i]));
  expect("its line stands at the same time in all", Math.max(...at) - Math.min(...at) < 15, at);

  const before = await scales(page, "frost_step");
  const box = await over.boundingBox();
  await page.mouse.move(box.x + 40, box.y + 50);
  await page.mouse.down();
  await page.mouse.move(box.x + 140, box.y + 60, { steps: 4 });
  await page.mouse.up();
  const zoomed = await scales(page, "frost_step");
  expect("dragging zooms", zoomed[1][1] - zoomed[1][0] < 0.8 * (before[1][1] - before[1][0]), zoomed[1]);
  expect("all plots zoom together", zoomed.every((z) => JSON.stringify(z) === JSON.stringify(zoomed[0])), zoomed);
  await over.dblclick();
  same("a double click shows all again", await scales(page, "frost_step"), before);

  await panels.focus();
  await page.keyboard.press("ArrowRight");
  const here = await readings(panels);
  await page.keyboard.press("Shift+ArrowLeft");
  expect("arrow keys move the cursor", JSON.stringify(here) !== JSON.stringify(await readings(panels)), here);
  await page.keyboard.press("+");
  const nearer = await scales(page, "frost_step");
  expect("plus zooms", nearer[0][1] - nearer[0][0] < before[0][1] - before[0][0], nearer[0]);
  expect("in all plots", nearer.every((z) => JSON.stringify(z) === JSON.stringify(nearer[0])), nearer);
  await page.keyboard.press("0");
  same("0 shows all again", await scales(page, "frost_step"), before);
  await page.getByRole("button", { name: "Around the response" }).first().click();
  const near = await scales(page, "frost_step");
  expect("a button shows the response", near[0][1] - near[0][0] < 1, near[0]);
  await page.getByRole("button", { name: "Whole replay" }).first().click();
};

const checkFilter = async (page) => {
  const rows = () => page.locator("tr[data-m]:not([hidden])");
  const shown = async () => (await page.locator("details.scenario:not([hidden]) tr[data-m]:not([hidden])").count());
  const measures = run.scenarios.flatMap((s) => s.measures.map((m) => ({ ...m, scenario_class: s.scenario_class })));
  same("all measures are there", await rows().count(), measures.length);
  const judged = new Set(measures.filter((m) => m.verdict !== "VERDICT_NONE").map((m) => m.measure));
  same("the map has a column for each that is judged", await page.locator("#map table thead th[scope=col]").count(), judged.size);
  for (const v of ["pass", "none", "inconclusive", "error"]) await page.locator(`#filter input[value=${v}]`).uncheck();
  const meaning = await rows().first().locator("th").getAttribute("title");
  expect("pointing at a measure tells what it means", meaning.length > 10, meaning);
  same("failing ones only", await shown(), measures.filter((m) => m.verdict === "VERDICT_FAIL").length);
  same("and their scenarios", await page.locator("details.scenario:not([hidden])").count(), run.scenarios.filter((s) => s.verdict === "VERDICT_FAIL").length);
  const said = await page.locator("#shown").textContent();
  const failing = (list) => list.filter((x) => x.verdict === "VERDICT_FAIL").length;
  same("the count is told", said, `${failing(run.scenarios)} of ${run.scenarios.length} scenarios, ${failing(measures)} of ${measures.length} measures shown`);
  await page.getByRole("button", { name: "Show all" }).click();
  await page.waitForFunction((n) => document.querySelectorAll("tr[data-m]:not([hidden])").length === n, measures.length);
  await page.locator("#filter select[name=class]").selectOption("straight_wet");
  same("one class", await shown(), measures.filter((m) => m.scenario_class === "SCENARIO_CLASS_STRAIGHT_WET").length);
  await page.locator("#filter select[name=class]").selectOption("");
  const tiers = run.scenarios.map((s) => s.tier);
  expect("there are scenarios of both tiers", tiers.includes("TIER_GATE") && tiers.includes("TIER_ENDURANCE"), tiers);
  for (const tier of ["gate", "endurance"]) {
    await page.locator("#filter select[name=tier]").selectOption(tier);
    const wanted = run.scenarios.filter((s) => s.tier === `TIER_${tier.toUpperCase()}`);
    same(`scenarios of tier ${tier}`, await page.locator("details.scenario:not([hidden])").count(), wanted.length);
    same(`measures of tier ${tier}`, await shown(), wanted.flatMap((s) => s.measures).length);
  }
  await page.locator("#filter select[name=tier]").selectOption("");
  await page.locator("#filter select[name=measure]").selectOption("tracking_error");
  same("one measure", await shown(), measures.filter((m) => m.measure === "tracking_error").length);
  await page.getByRole("button", { name: "Show all" }).click();
};

// Drawings with their marks by class, their size, and the labels that do not lie inside.
const drawings = (page, section) =>
  page.locator(`${section} svg[role=img]`).evaluateAll((all) =>
    all.map((svg) => {
      const box = svg.getBoundingClientRect();
      const outside = [...svg.querySelectorAll("text")].filter((text) => {
        const b = text.getBoundingClientRect();
        return b.width > 0 && (b.left < box.left - 1 || b.right > box.right + 1 || b.top < box.top - 1 || b.bottom > box.bottom + 1);
      });
      return {
        label: svg.getAttribute("aria-label"),
        width: box.width,
        marks: svg.querySelectorAll(".marker.candidate > *").length,
        baseline: svg.querySelectorAll(".marker.baseline > *").length,
        titles: [...svg.querySelectorAll(".marker.candidate title")].map((t) => t.textContent),
        outside: outside.map((t) => t.textContent),
      };
    }),
  );

const checkPlain = (what, found, wanted) => {
  same(`${what}: drawings`, found.length, wanted);
  expect(`${what}: each has a description and a size`, found.every((d) => d.label.length > 20 && d.width > 250), found.map((d) => [d.label, d.width]));
  same(`${what}: no label is cut`, found.flatMap((d) => d.outside), []);
};

const checkPlots = async (page) => {
  const feel = run.scenarios.flatMap((s) => s.feel ?? []);
  const curves = await drawings(page, "#feel");
  checkPlain("feel", curves, feel.length);
  const points = feel.flatMap((f) => f.points.flatMap((p) => [p.applied, p.released])).filter((x) => x !== undefined);
  same("feel: a mark a level and way", curves.reduce((n, d) => n + d.marks, 0), points.length);
  same("feel: as many of the baseline", curves.reduce((n, d) => n + d.baseline, 0), points.length);
  const cells = await page.locator("#feel table.feel tbody tr").evaluateAll((rows) => rows.map((r) => r.cells[1].textContent));
  const rounded = (list) => list.map((p) => Number(p)).sort((a, b) => a - b);
  const told = feel.flatMap((f) => f.points.map((p) => p.applied?.toFixed(f.unit === "N" ? 1 : 2) ?? "never"));
  same("feel: the table has the numbers of the JSON", rounded(cells), rounded(told));

  const repeated = run.scenarios.filter((s) => s.repetitions);
  const clouds = await drawings(page, "#repeatability");
  checkPlain("repeatability", clouds, 3 * repeated.length);
  for (const s of repeated) {
    const own = clouds.filter((d) => d.label.includes(` every replay of ${s.scenario},`));
    const fields = ["distance_m", "delay_ms", "deceleration_mps2"];
    same(`${s.scenario}: a mark a replay`, own.map((d) => d.marks), fields.map((f) => s.repetitions.filter((r) => r[f] !== undefined).length));
    same(`${s.scenario}: as many of the baseline`, own.map((d) => d.baseline), own.map((d) => d.marks));
    const distances = s.repetitions.map((r) => r.distance_m.toFixed(2)).sort();
    same(`${s.scenario}: its marks tell the distances of the JSON`, own[0].titles.map((t) => t.match(/: (.*) m$/)[1]).sort(), distances);
  }

  const stints = run.scenarios.filter((s) => s.stint);
  const laps = await drawings(page, "#stints");
  checkPlain("stints", laps, 3 * stints.length);
  for (const s of stints) {
    const own = laps.filter((d) => d.label.includes(` every lap of ${s.scenario},`));
    const compared = s.stint.parts.filter((p) => p.compared);
    same(`${s.scenario}: first and last are marked`, own.map((d) => d.marks), [2, 1, 1].map((n) => n * compared.length));
    expect(`${s.scenario}: with their temperature`, own[1].titles.every((t, i) => t.endsWith(`: ${compared[i].fluid_celsius.toFixed(0)} degC`)), own[1].titles);
  }
};

const checkSeason = async (page) => {
  const shown = drift.series.filter((s) => s.verdict !== "VERDICT_PASS" || s.drift_used >= 0.5);
  const found = await drawings(page, "#drawn");
  checkPlain("season", found, Math.min(30, shown.length));
  same("season: all measures are in the table", await page.locator("#all tbody tr").count(), drift.series.length);
  const worst = shown.reduce((a, b) => (b.drift_used > a.drift_used ? b : a));
  const sums = found[0].titles.map((t) => t.match(/sum (.*)$/)[1]);
  const percent = (share) => `${share >= 0.005 ? "+" : ""}${(100 * share).toFixed(0)} %`.replace(/^-0 /, "0 ");
  const wanted = worst.steps.filter((s) => s.sum !== undefined).map((s) => percent(s.sum));
  same("season: the worst stands first, with its sums", sums, wanted);
};

const checkLinks = async (page) => {
  const link = page.locator("#worst a", { hasText: "millrace_stabs" }).first();
  await link.click();
  const scenario = page.locator("details.scenario", { has: page.locator(".name", { hasText: /^millrace_stabs$/ }) });
  await page.waitForFunction(() => [...document.querySelectorAll("details.scenario[open] .name")].some((n) => n.textContent === "millrace_stabs"));
  await scenario.locator("canvas").first().waitFor();
  expect("a link to a scenario opens and draws it", (await scenario.locator("canvas").count()) > 8);
};

const checkAccess = async (page, scheme) => {
  await page.evaluate(axe);
  const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
  const grave = found.violations.filter((v) => ["serious", "critical"].includes(v.impact));
  same(`no serious finding of axe-core, ${scheme}`, grave.map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => n.html.slice(0, 150)).join(" | ")}`), []);
  console.log(`axe-core, ${scheme}: ${found.violations.map((v) => `${v.id} (${v.impact})`).join(", ") || "no findings"}`);
};

const checkScheme = async (page) => {
  const canvas = page.locator("details.scenario canvas").nth(1);
  const ground = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  const light = await ground();
  await page.locator("#scheme").click();
  expect("the button turns the page dark", (await ground()) !== light, await ground());
  expect("and the plots with it", (await share(canvas, "candidate")) + (await share(canvas, "input")) > 0.001);
  await page.emulateMedia({ media: "print" });
  same("nothing to click is printed", await page.locator("nav").evaluate((n) => getComputedStyle(n).display), "none");
  await page.emulateMedia({ media: "screen" });
  const pdf = await page.pdf();
  expect("it prints", pdf.length > 20000, pdf.length);
  await page.locator("#scheme").click();
  same("and back", await ground(), light);
};

for (const scheme of ["light", "dark"]) {
  const { page, noise, requests } = await open(page_file, scheme);
  const took = await page.evaluate(() => performance.getEntriesByType("navigation")[0].loadEventEnd);
  console.log(`opened in ${Math.round(took)} ms, ${scheme}, ${readFileSync(page_file).length} bytes`);
  await page.locator("details.scenario canvas").first().waitFor();
  if (screenshots) await page.screenshot({ path: `${screenshots}/report-${scheme}.png`, fullPage: true });
  await checkDrawn(page);
  if (scheme === "light") {
    await checkCursor(page);
    await checkFilter(page);
    await checkPlots(page);
    await checkLinks(page);
    await checkScheme(page);
  }
  await checkAccess(page, scheme);
  same(`the console stays silent, ${scheme}`, noise, []);
  expect(`nothing but the page is asked for, ${scheme}`, requests.every((r) => r === `file://${page_file}` || r.startsWith("data:")), requests);
  await page.close();
}

for (const scheme of ["light", "dark"]) {
  const { page, noise, requests } = await open(season_file, scheme);
  if (screenshots) await page.screenshot({ path: `${screenshots}/season-${scheme}.png`, fullPage: true });
  if (scheme === "light") await checkSeason(page);
  const ground = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  const before = await ground();
  await page.locator("#scheme").click();
  expect(`the button turns the season, ${scheme}`, (await ground()) !== before);
  await page.locator("#scheme").click();
  await checkAccess(page, `season, ${scheme}`);
  same(`the console stays silent, season, ${scheme}`, noise, []);
  expect(`nothing but the page is asked for, season, ${scheme}`, requests.every((r) => r === `file://${season_file}` || r.startsWith("data:")), requests);
  await page.close();
}

const { page, noise } = await open(hostile_file, "light");
await page.locator("details.scenario canvas").first().waitFor();
expect("a name is told as it is", (await page.locator("h1").textContent()).includes("<img src=x onerror=window.hit=1></script>"));
same("no name became an element", await page.locator("img, [onclick], h1 script").count(), 0);
same("no name ran", await page.evaluate(() => window.hit ?? null), null);
same("the console stays silent, hostile", noise, []);
await browser.close();
