// Holds the Kubernetes objects on standard input (YAML) against their schemas: values, and keys no schema knows.
//   node validate.mjs < objects.yaml
// The schemas are not strict, so an unknown key passes them. Here the validators read the objects through a watch: a key
// that is there and that no validator asked for is one no schema knows.
// Exit codes: 0 nothing found, 1 something was, on standard output.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import { pathToFileURL } from "node:url";
import * as yaml from "js-yaml";

const require = createRequire(import.meta.url);

// The package that knows an API group.
const packageOf = (group) =>
  group === "monitoring.coreos.com" ? "@kubernetes-models/prometheus-operator" : "kubernetes-models";

async function modelOf({ apiVersion, kind }) {
  const [group, version] = apiVersion.includes("/") ? apiVersion.split("/") : ["", apiVersion];
  const folder = path.dirname(require.resolve(`${packageOf(group)}/package.json`));
  return (await import(pathToFileURL(path.join(folder, group, version, `${kind}.js`)).href))[kind];
}

// `value` as the validators see it; `asked` collects the places they read.
function watched(value, place, asked) {
  if (value === null || typeof value !== "object") return value;
  return new Proxy(value, {
    get(target, key, receiver) {
      if (typeof key !== "string" || !Object.hasOwn(target, key)) return Reflect.get(target, key, receiver);
      asked.add(`${place}/${key}`);
      return watched(target[key], `${place}/${key}`, asked);
    },
  });
}

function* places(value, place) {
  if (value === null || typeof value !== "object") return;
  for (const key of Object.keys(value)) {
    yield `${place}/${key}`;
    yield* places(value[key], `${place}/${key}`);
  }
}

// Whatever is below an unknown key is unknown too; the highest says enough.
const highest = (unknown) => unknown.filter((place) => !unknown.some((above) => place.startsWith(`${above}/`)));

async function findings(object) {
  const name = `${object.kind} ${object.metadata?.name}`;
  const Model = await modelOf(object);
  const asked = new Set();
  const model = new Model(object);
  for (const key of Object.keys(model)) model[key] = watched(model[key], `/${key}`, asked);
  const found = [];
  try {
    model.validate();
  } catch (error) {
    found.push(`${name}: ${error.message}`);
  }
  const top = new Set(["apiVersion", "kind", "metadata", "spec", "data", "rules", "subjects", "roleRef"]);
  const unknown = [...places(object, "")].filter((p) => !asked.has(p) && !top.has(p.slice(1)));
  return found.concat(highest(unknown).map((p) => `${name}: ${p} is a key no schema knows`));
}

const objects = yaml.loadAll(readFileSync(0, "utf8")).filter(Boolean);
const all = (await Promise.all(objects.map(findings))).flat();
for (const line of all) console.log(line);
console.log(`${objects.length} objects, ${all.length} findings`);
process.exitCode = all.length || objects.length === 0 ? 1 : 0;
