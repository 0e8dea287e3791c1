/* What is asked and shown. Everything of the card goes in as text, never as markup. */
const $ = (id) => document.getElementById(id);
const el = (tag, text, of) => Object.assign(document.createElement(tag), { textContent: text ?? '' }, of);
const KEPT = 'pocket.card';
function kept() {
  try { return JSON.parse(localStorage.getItem(KEPT)) ?? {}; } catch { return {}; }
}
function keep() {
  const now = Object.fromEntries([...document.querySelectorAll('[data-keep]')].map((one) => [one.id, one.value]));
  try { localStorage.setItem(KEPT, JSON.stringify(now)); } catch { /* a file that keeps nothing still reckons */ }
}
const unit = () => $('unit').value;
function options(id, names) {
  $(id).replaceChildren(...names.map((name, n) => el('option', name, { value: String(n) })));
}
function contactsOf() {
  const rig = CARD.rigs[$('rig').value], before = [...document.querySelectorAll('#passes select')].map((one) => one.value);
  $('passes').replaceChildren(...rig.contacts.map((at, n) => {
    const select = el('select', '', { id: `pass${n}` });
    select.append(...CARD.frictions.map((one, i) => el('option', one.name, { value: String(i) })));
    select.value = before[n] ?? before[0] ?? '0';
    select.addEventListener('change', () => { if (n === 0) for (const other of document.querySelectorAll('#passes select')) other.value = select.value; all(); });
    const label = el('label', `Block ${n + 1} from the drum, at ${at}`);
    label.append(select);
    return label;
  }));
  $('led').textContent = rig.sentence;
}
function asked() {
  if ($('by').value === 'force') {
    const likely = force($('likely').value, unit());
    if (likely.refused) return { refused: likely.refused, at: 'likely' };
    const high = $('high').value.trim() ? force($('high').value, unit()) : likely;
    if (high.refused) return { refused: high.refused, at: 'high' };
    if (high.value < likely.value) return { refused: 'At most is less than likely.', at: 'high' };
    return { R: [likely.value, likely.value, high.value] }; // no low end was told, so none is made up
  }
  const m = mass($('mass').value), s = slope($('slope').value);
  if (m.refused) return { refused: m.refused, at: 'mass' };
  if (s.refused) return { refused: s.refused, at: 'slope' };
  for (const id of ['surface', 'depth']) if ($(id).value === '') return { refused: `Choose ${id === 'surface' ? 'the ground' : 'how deep it is sunk'}: nothing is taken for granted.`, at: id };
  return { R: resistance(m.value, s.value, CARD.surfaces[$('surface').value], CARD.depths[$('depth').value]) };
}
const range = ([low, , high]) => (shown(low, unit()) === shown(high, unit()) ? shown(high, unit()) : `${shown(low, unit())} to ${shown(high, unit())}`);
function row(name, expected, stall, limit, more) {
  const tr = el('tr');
  const head = el('th', name, { scope: 'row' });
  if (more) head.append(el('small', more));
  const word = limit === undefined ? '' : verdict(Math.max(expected, stall), limit);
  tr.append(head, el('td', shown(expected, unit())), el('td', shown(stall, unit()), { className: 'stall' }));
  if (!word) return tr;
  const last = el('td');
  last.append(el('b', word, { className: `v ${word}` }), el('small', limit === null ? '' : `of ${shown(limit, unit())}`));
  tr.append(last);
  return tr;
}
function pieces(found) {
  const worst = (set) => ({ line: set.line, block: Math.max(0, ...set.blocks, ...set.anchors), anchor: Math.max(0, ...set.anchors) });
  const [high, stall] = [worst(found.expected), worst(found.stall)];
  const at = (one) => (one.stands.includes('block') && CARD.rigs[$('rig').value].contacts.length ? 'block' : one.stands.includes('line') ? 'line' : one.stands[0]);
  const word = { line: 'as if in the line', block: 'as if at the hardest block or anchor', anchor: 'as if it were the hardest anchor' };
  return CARD.pieces.map((one) => row(one.name, high[at(one)], stall[at(one)], one.limit, [word[at(one)], one.basis, one.note].filter(Boolean).join('; ')));
}
function show(found, R) {
  const rig = CARD.rigs[$('rig').value], winch = CARD.winches[$('winch').value], layer = Number($('layer').value);
  $('likelyPull').textContent = shown(found.effort[1], unit());
  $('stallPull').textContent = shown(winch.stall, unit());
  for (const one of document.querySelectorAll('.u')) one.textContent = unit() + (unit() === 'kgf' ? ' (kg of force)' : '');
  $('effortRange').textContent = `${range(found.effort)} ${unit()} for a resistance of ${range(R)} ${unit()}, likely ${shown(R[1], unit())} ${unit()}.`;
  $('share').textContent = `${percent(found.share[1])} (${percent(found.share[0])} to ${percent(found.share[2])}); planning percentage ${planned(found.share[2])} %`;
  $('advantage').textContent = `${found.advantage.toFixed(2)} (${(1 / found.share[2]).toFixed(2)} to ${(1 / found.share[0]).toFixed(2)}); without friction ${rig.advantage.toFixed(2)}`;
  const has = winch.layers[layer], word = verdict(found.effort[2], has);
  $('winchVerdict').replaceChildren(el('b', word, { className: `v ${word}` }), ` at the high resistance: the winch has ${shown(has, unit())} ${unit()} on layer ${layer + 1}.`);
  $('gets').textContent = `At stall the load gets ${shown(found.pull, unit())} ${unit()} or more.`;
  $('parts').replaceChildren(
    row('Winch line, its hardest part', found.expected.line, found.stall.line),
    ...rig.blocks.map(([at], n) => row(`Block ${at}`, found.expected.blocks[n], found.stall.blocks[n])),
    ...rig.anchors.map(([name], n) => row(`Anchor ${name}`, found.expected.anchors[n], found.stall.anchors[n])),
  );
  $('pieces').replaceChildren(...pieces(found));
  const used = [...new Set([...document.querySelectorAll('#passes select')].map((one) => one.value))].map((i) => CARD.frictions[i]);
  $('rests').replaceChildren(...used.map((one) => el('li', `${one.name}: k ${one.k.toFixed(3)} (${one.low.toFixed(3)} to ${one.high.toFixed(3)})${one.valid ? `, for ${shown(one.valid[0], unit())} to ${shown(one.valid[1], unit())} ${unit()}` : ''}; ${one.source}.`)));
}
function all() {
  keep();
  for (const one of ['force', 'ground']) $(one).hidden = $('by').value !== one;
  for (const one of document.querySelectorAll('[aria-invalid]')) one.removeAttribute('aria-invalid');
  const said = asked();
  const k = [...document.querySelectorAll('#passes select')].map((one) => CARD.frictions[one.value]);
  const found = said.refused ? null : reckon(Number($('rig').value), k, said.R, CARD.winches[$('winch').value].stall);
  const refused = said.refused ?? (found.slack ? 'With these frictions a line of this rig goes slack: it does not work like that.' : '');
  $('answer').hidden = Boolean(refused);
  $('refused').hidden = !refused;
  $('why').textContent = refused;
  if (said.at) $(said.at).setAttribute('aria-invalid', 'true');
  if (!refused) show(found, said.R);
}
function layers() {
  const { layers: pulls } = CARD.winches[$('winch').value];
  options('layer', pulls.map((_, n) => (n ? `layer ${n + 1}` : 'layer 1, the drum nearly empty')));
  $('layer').value = String(pulls.length - 1);
}
options('rig', CARD.rigs.map((one) => one.name));
options('winch', CARD.winches.map((one) => one.name));
for (const [id, names] of [['surface', CARD.surfaces], ['depth', CARD.depths]]) {
  options(id, names.map((one) => one[0]));
  $(id).prepend(el('option', 'choose', { value: '' })); // a ground nobody chose would be a number nobody answers for
  $(id).value = '';
}
$('unit').value = CARD.units;
$('rig').value = String(Math.max(0, CARD.rigs.findIndex((one) => one.name === 'two-part/on-load')));
$('source').textContent = CARD.source;
layers();
contactsOf();
const old = kept();
for (const id of ['light', 'unit', 'by', 'mass', 'slope', 'likely', 'high']) if (typeof old[id] === 'string' && old[id] !== '') $(id).value = old[id];
const lit = () => { document.documentElement.dataset.light = $('light').value; };
lit();
$('light').addEventListener('change', () => { lit(); keep(); });
$('rig').addEventListener('change', () => { contactsOf(); all(); });
$('winch').addEventListener('change', () => { layers(); all(); });
for (const id of ['layer', 'unit', 'by', 'surface', 'depth']) $(id).addEventListener('change', all);
for (const id of ['likely', 'high', 'mass', 'slope']) $(id).addEventListener('input', all);
$('print').addEventListener('click', () => print());
all();
