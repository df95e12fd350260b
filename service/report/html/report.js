"use strict";
(() => {
  const root = document.documentElement;
  const all = (selector, from = document) => [...from.querySelectorAll(selector)];
  const make = (tag, className, text) => {
    const element = document.createElement(tag);
    if (className) element.className = className;
    if (text !== undefined) element.textContent = text;
    return element;
  };

  // Plots are drawn with the colours of the style.
  const plots = new Set();
  addEventListener("scheme", () => plots.forEach((plot) => plot.redraw(false)));
  const colour = (name) => getComputedStyle(root).getPropertyValue(`--${name}`).trim();

  // Numbers come as differences in multiples of a step.
  const decode = (list, step) => {
    let sum = 0;
    return list.map((d) => (d === null ? null : (sum += d) * step));
  };
  const padded = (values, length) => (values.length < length ? values.concat(Array(length - values.length).fill(null)) : values);

  const dashes = { baseline: [7, 4], recording: [2, 3], reference: [10, 3, 2, 3], target: [4, 2] };
  const states = ["ready", "limited", "lost", "rearming"];
  const wide = { candidate: 2.4, baseline: 1.6, recording: 1.6, reference: 1.4, target: 1.2, input: 2 };
  const names = { input: "request", reference: "reference demand", target: "candidate's target" };

  const label = (line) => (names[line.kind] ?? line.kind) + (line.side ? `, ${line.side}` : "");
  const written = (panel, value) => {
    if (value === null || value === undefined) return "–";
    if (panel.title === "Request state") return states[Math.round(value)] ?? String(value);
    return value.toFixed(Math.max(0, Math.round(-Math.log10(panel.step))));
  };
  const tick = (value) => String(+value.toPrecision(6));

  const sample = (line) => {
    const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    svg.setAttribute("viewBox", "0 0 34 12");
    svg.setAttribute("class", `key ${line.kind}`);
    svg.setAttribute("aria-hidden", "true");
    const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
    path.setAttribute("class", `line ${line.kind} ${line.side ?? ""}`);
    path.setAttribute("d", "M0 6H34");
    svg.append(path);
    return svg;
  };

  // Vertical bands where a fault acts.
  const drawFaults = (plot, faults) => {
    const { left, top, width, height } = plot.bbox;
    plot.ctx.save();
    plot.ctx.fillStyle = colour("fault");
    for (const fault of faults) {
      const from = Math.max(left, plot.valToPos(fault.start, "x", true));
      const to = Math.min(left + width, plot.valToPos(fault.end, "x", true));
      if (to > from) plot.ctx.fillRect(from, top, to - from, height);
    }
    plot.ctx.restore();
  };

  // Levels of the demand, and when reference, baseline and candidate passed them.
  const drawMarks = (plot, marks) => {
    const { left, top, width, height } = plot.bbox;
    const ctx = plot.ctx, pixel = devicePixelRatio;
    ctx.save();
    ctx.font = `${12 * pixel}px system-ui, sans-serif`;
    ctx.lineWidth = pixel;
    for (const mark of marks) {
      const y = plot.valToPos(mark.level, "y", true);
      if (y < top || y > top + height) continue;
      ctx.strokeStyle = colour("quiet");
      ctx.setLineDash([2 * pixel, 3 * pixel]);
      ctx.beginPath();
      ctx.moveTo(left, y);
      ctx.lineTo(left + width, y);
      ctx.stroke();
      ctx.fillStyle = colour("quiet");
      ctx.textAlign = "left";
      ctx.fillText(`${mark.percent} % of demand`, left + 6 * pixel, y - 7 * pixel);
      ctx.setLineDash([]);
      for (const kind of ["reference", "baseline", "candidate"]) {
        if (mark[kind] === null || mark[kind] === undefined) continue;
        const x = plot.valToPos(mark[kind], "x", true);
        if (x < left || x > left + width) continue;
        ctx.strokeStyle = ctx.fillStyle = colour(kind);
        ctx.lineWidth = 2 * pixel;
        ctx.beginPath();
        if (kind === "reference") {
          ctx.moveTo(x, y - 6 * pixel);
          ctx.lineTo(x, y + 6 * pixel);
        } else if (kind === "baseline") {
          ctx.rect(x - 4 * pixel, y - 4 * pixel, 8 * pixel, 8 * pixel);
        } else {
          ctx.arc(x, y, 4.5 * pixel, 0, 2 * Math.PI);
        }
        ctx.stroke();
      }
    }
    ctx.restore();
  };

  // One plot with its title and the values at the cursor.
  const addPanel = (group, host, panel, times, options) => {
    const box = host.appendChild(make("div", options.whole ? "panel whole" : "panel"));
    box.append(make("h3", "", (options.title ?? panel.title) + (panel.unit ? `, ${panel.unit}` : "")));
    const list = box.appendChild(make("ul", "values"));
    const readings = panel.lines.map((line) => {
      const item = list.appendChild(make("li"));
      item.append(sample(line), ` ${label(line)} `);
      return item.appendChild(make("b", "", "–"));
    });
    const read = (plot) =>
      readings.forEach((b, i) => {
        const idx = plot.cursor.idx;
        b.textContent = written(panel, idx === null || idx === undefined ? null : plot.data[i + 1][idx]);
      });
    const axis = (more) => ({
      stroke: () => colour("quiet"),
      grid: { stroke: () => colour("rule"), width: 1 },
      ticks: { stroke: () => colour("rule"), width: 1 },
      font: "12px system-ui, sans-serif",
      ...more,
    });
    const plot = new uPlot(
      {
        width: Math.max(200, Math.floor(box.clientWidth)),
        height: options.whole ? 280 : 180,
        legend: { show: false },
        scales: { x: { time: false } },
        cursor: {
          y: false,
          drag: { x: true, y: false, setScale: true },
          sync: { key: group.key, setSeries: false },
          points: { size: 6 },
        },
        axes: [
          axis({ size: 34, values: (u, v) => v.map((x) => `${tick(x)} s`) }),
          axis({ size: 54, values: (u, v) => v.map((x) => (panel.title === "Request state" ? (states[x] ?? "") : tick(x))) }),
        ],
        series: [
          {},
          ...panel.lines.map((line) => ({
            label: label(line),
            stroke: () => colour(line.kind),
            width: line.side === "right" ? 1.1 : wide[line.kind],
            dash: dashes[line.kind],
            points: { show: false },
            paths: panel.holds ? uPlot.paths.stepped({ align: 1 }) : uPlot.paths.linear(),
          })),
        ],
        hooks: {
          setCursor: [read],
          setScale: [(u, key) => key === "x" && group.zoomed(u)],
          drawClear: [(u) => drawFaults(u, options.faults ?? [])],
          draw: options.marks ? [(u) => drawMarks(u, options.marks)] : [],
        },
      },
      [times, ...panel.lines.map((line) => padded(decode(line.values, panel.step), times.length))],
      box.appendChild(make("div")),
    );
    plots.add(plot);
    group.plots.push(plot);
    new ResizeObserver(() => {
      const width = Math.floor(box.clientWidth);
      if (width > 0 && width !== plot.width) plot.setSize({ width, height: plot.height });
    }).observe(box);
  };

  // Plots that zoom together.
  const makeGroup = (key) => {
    const group = { key, plots: [], busy: false };
    group.zoom = (min, max) => {
      group.busy = true;
      for (const plot of group.plots) plot.setScale("x", { min, max });
      group.busy = false;
    };
    group.zoomed = (from) => {
      const { min, max } = from.scales.x;
      if (group.busy || min === null || min === undefined) return;
      group.busy = true;
      for (const plot of group.plots)
        if (plot !== from && (plot.scales.x.min !== min || plot.scales.x.max !== max)) plot.setScale("x", { min, max });
      group.busy = false;
    };
    return group;
  };

  // Arrows move the cursor, plus and minus zoom about it, 0 shows everything.
  const steer = (event, group, whole) => {
    const plot = group.plots[0];
    const { min, max } = plot.scales.x;
    const times = plot.data[0];
    const index = plot.cursor.idx ?? times.findIndex((t) => t >= (min + max) / 2);
    const at = times[index];
    const zoomTo = (span) => group.zoom(Math.max(whole[0], at - span / 2), Math.min(whole[1], at + span / 2));
    const move = (to) => {
      const next = Math.min(times.length - 1, Math.max(0, to));
      if (times[next] < min || times[next] > max) return;
      for (const p of group.plots) p.setCursor({ left: p.valToPos(times[next], "x"), top: p.over.clientHeight / 2 });
    };
    const jump = event.shiftKey ? 10 : 1;
    if (event.key === "ArrowRight") move(index + jump);
    else if (event.key === "ArrowLeft") move(index - jump);
    else if (event.key === "+" || event.key === "=") zoomTo((max - min) / 2);
    else if (event.key === "-") zoomTo((max - min) * 2);
    else if (event.key === "0" || event.key === "Escape") group.zoom(...whole);
    else return;
    event.preventDefault();
  };

  const build = (figure) => {
    if (figure.dataset.built) return;
    figure.dataset.built = "yes";
    const data = JSON.parse(figure.querySelector("script").textContent);
    const times = decode(data.times, data.tick);
    if (times.length < 2) return;
    const whole = [times[0], times[times.length - 1]];
    const last = figure.querySelector(".quiet");
    if (data.response) {
      const response = data.response;
      const near = makeGroup(`${data.scenario} response`);
      const beside = make("div", "near");
      figure.prepend(beside);
      const host = beside.appendChild(make("div", "panels"));
      beside.append(...all(".marks", figure));
      addPanel(near, host, response.panel, decode(response.times, data.tick), {
        whole: true,
        title: "Response: front circuit pressure",
        marks: response.marks,
        faults: data.faults,
      });
    }
    const group = makeGroup(data.scenario);
    const tools = figure.insertBefore(make("div", "tools"), last);
    const host = figure.insertBefore(make("div", "panels"), last);
    host.tabIndex = 0;
    host.setAttribute("role", "group");
    host.setAttribute("aria-label", `Traces of ${data.scenario}; arrow keys move the cursor, plus and minus zoom, 0 shows all`);
    host.addEventListener("keydown", (event) => steer(event, group, whole));
    const tool = (text, act) => {
      const b = tools.appendChild(make("button", "", text));
      b.type = "button";
      b.addEventListener("click", act);
    };
    tool("Whole replay", () => group.zoom(...whole));
    if (data.response) {
      const near = decode(data.response.times, data.tick);
      tool("Around the response", () => group.zoom(near[0], near[near.length - 1]));
    }
    tools.append(make("span", "note", "Drag to zoom, double click for all. Keys: arrows, + − 0."));
    for (const panel of data.panels) addPanel(group, host, panel, times, { faults: data.faults });
  };
  // What a measure means is told once in the page; pointing at its name shows it.
  const meanings = new Map(
    all("#measures dt").map((dt) => [dt.querySelector("code").textContent, dt.nextElementSibling.firstChild.textContent.trim()]),
  );
  for (const row of all("tr[data-m]")) row.querySelector("th").title = meanings.get(row.dataset.m) ?? "";

  const buildIn = (details) => all(".figure", details).forEach(build);

  for (const details of all("details.scenario")) {
    details.addEventListener("toggle", () => details.open && buildIn(details));
    if (details.open) buildIn(details);
  }

  // A link to a scenario opens it.
  const openTarget = () => {
    const target = /^#s\d+$/.test(location.hash) && document.querySelector(location.hash);
    const details = target && target.closest("details");
    if (!details) return;
    details.hidden = false;
    details.open = true;
    details.scrollIntoView();
  };
  addEventListener("hashchange", openTarget);
  openTarget();

  const form = document.getElementById("filter");
  const chosen = (wanted, value) => wanted === "" || wanted === value;
  const filter = () => {
    const data = new FormData(form);
    const verdicts = new Set(data.getAll("verdict"));
    let scenarios = 0, measures = 0, rows = 0;
    for (const details of all("details.scenario")) {
      let any = false;
      for (const row of all("tr[data-m]", details)) {
        ++rows;
        row.hidden = !verdicts.has(row.dataset.v) || (data.get("measure") !== "" && row.dataset.m !== data.get("measure"));
        any ||= !row.hidden;
        measures += row.hidden ? 0 : 1;
      }
      const wanted = chosen(data.get("tier"), details.dataset.t) && chosen(data.get("class"), details.dataset.c);
      const itself = verdicts.has(details.dataset.v) && data.get("measure") === "";
      details.hidden = !wanted || !(any || itself);
      if (!wanted) measures -= all("tr[data-m]:not([hidden])", details).length;
      scenarios += details.hidden ? 0 : 1;
    }
    const count = all("details.scenario").length;
    document.getElementById("shown").textContent =
      `${scenarios} of ${count} scenarios, ${measures} of ${rows} measures shown`;
  };
  form.hidden = false;
  form.addEventListener("change", filter);
  form.addEventListener("reset", () => setTimeout(filter));
  document.getElementById("open-all").addEventListener("click", () => {
    for (const details of all("details.scenario:not([hidden])")) details.open = true;
  });
  filter();
})();
