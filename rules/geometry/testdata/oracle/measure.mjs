// Measures placed boxes with a solid-modelling kernel. Reads one JSON document from standard input and writes one to
// standard output:
//   {pairs: [{a: placed, b: placed, push: [[x,y,z]...]}], sets: [{boxes: [[min, max]...], level: z}], reach: mm}
// where placed is {min, max, x, y, z, at}: a local box, the images of the three local axes, and the place of the origin.
//   -> {pairs: [{overlap, distance, bounds, pushed: [overlap...]}], sets: [{union, slice}]}
import {readFileSync} from 'node:fs';
import {createRequire} from 'node:module';
import {pathToFileURL} from 'node:url';

const require = createRequire(process.argv[2] + '/package.json');
const Module = (await import(pathToFileURL(require.resolve('manifold-3d')).href)).default;
const kernel = await Module();
kernel.setup();
const {Manifold} = kernel;

const cuboid = (min, max) =>
    Manifold.cube([max[0] - min[0], max[1] - min[1], max[2] - min[2]]).translate(min);

function place(p) {
  const local = cuboid(p.min, p.max);
  const placed = local.transform([...p.x, 0, ...p.y, 0, ...p.z, 0, ...p.at, 1]);
  local.delete();
  return placed;
}

function common(a, b) {
  const c = a.intersect(b);
  const v = c.volume();
  c.delete();
  return v;
}

function measurePair({a, b, push}, reach) {
  const A = place(a), B = place(b);
  const box = A.boundingBox();
  const out = {overlap: common(A, B), distance: A.minGap(B, reach), bounds: [box.min, box.max], pushed: []};
  for (const by of push ?? []) {
    const moved = B.translate(by);
    out.pushed.push(common(A, moved));
    moved.delete();
  }
  A.delete();
  B.delete();
  return out;
}

function measureSet({boxes, level}) {
  const parts = boxes.map(([min, max]) => cuboid(min, max));
  const all = Manifold.union(parts);
  const cut = all.slice(level);
  const out = {union: all.volume(), slice: cut.area()};
  cut.delete();
  all.delete();
  parts.forEach(p => p.delete());
  return out;
}

const job = JSON.parse(readFileSync(0, 'utf8'));
process.stdout.write(JSON.stringify({
  pairs: job.pairs.map(p => measurePair(p, job.reach)),
  sets: job.sets.map(measureSet),
}));
