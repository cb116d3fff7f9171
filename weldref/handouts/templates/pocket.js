"use strict";
// Every verdict was worked out before: this only reads a value and looks up what is said of it.
const data = JSON.parse(document.getElementById("data").textContent);

function fill(sentence, values) {
  return sentence.replace(/{(\w+)}/g, (place, name) => name in values ? values[name] : place);
}

// A number with six figures, as the other surfaces write it.
function written(number) {
  const [figures, power] = number.toExponential(5).split("e").map(Number);
  if (number !== 0 && (power < -4 || power >= 6)) {
    return `${figures}e${power < 0 ? "-" : "+"}${String(Math.abs(power)).padStart(2, "0")}`;
  }
  return String(Number(number.toPrecision(6)));
}

function parsed(text) {
  const fraction = /^(?:(\d+)[- ])?(\d+)\/(\d+)$/.exec(text);
  if (!fraction) return Number(text);
  return Number(fraction[1] || 0) + Number(fraction[2]) / Number(fraction[3]);
}

// Write a fraction of one sign as its two numbers: 1½ is 1-1/2.
function spelled(text) {
  return text.replace(/(\d?) ?([\u00bc-\u00be\u2150-\u215e])/gu, (all, whole, sign) =>
    (whole && `${whole}-`) + sign.normalize("NFKC").replace("\u2044", "/"));
}

// Read what was typed: a value in SI with its unit, or the sentence that refuses it.
function readValue(quantity, entered, chosen) {
  const typed = spelled(entered);
  const kind = data.dimensions[quantity.dimension], words = data.words;
  const refused = (sentence, values) =>
    ({refused: fill(words[sentence], {name: quantity.name, text: typed, ...values})});
  if (/^\s*[1-9]\d{0,2},\d{3}(?!\d)/.test(typed)) {
    const [one, other] = ["", "."].map(mark => typed.replace(",", mark).trim());
    return refused("comma", {one, other});
  }
  const text = typed.replace(/^(\s*\d*),(\d+)(?![\d,])/, (all, whole, part) => `${whole || 0}.${part}`);
  const match = /^\s*((?:\d+[- ])?\d+\/\d+|[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*-?(\p{L}.*?|["°%].*?)?\s*$/u.exec(text);
  const number = match ? parsed(match[1]) : NaN;
  if (!Number.isFinite(number)) {
    return refused("not a number", {example: quantity.example, unit: chosen});
  }
  const given = match[2];
  const bare = quantity.dimension === "length" && match[1].includes("/") ? "in" : chosen;
  const unit = given === undefined ? bare
    : kind.spellings[given] || kind.folded[given.toLowerCase().replace(/\.$/, "")];
  if (!unit) {
    return refused("not a unit", {text: given, dimension: kind.called, accepted: kind.accepted});
  }
  const {factor, shift} = kind.units[unit], si = number * factor + shift;
  const [least, most] = quantity.limits, [low, high, of] = quantity.plausible;
  if (si < least || si > most) {
    return refused("not plausible", {value: `${written(number)} ${unit}`, low, high, unit: of});
  }
  return {si, unit, factor, system: kind.units[unit].system};
}

// Look up what is said of a value: the word, how far outside, and the sentences beside it.
function judge(quantity, typed, chosen) {
  const value = readValue(quantity, typed, chosen);
  if (value.refused) return value;
  const steps = data.profiles[quantity.profiles[value.system]];
  const [, word, below, above, says] = steps.filter(step => step[0] <= value.si).pop() || steps[0];
  const answer = {word, by: null, unit: value.unit, says: says.map(number => data.says[number])};
  if (word === "low" || word === "high") {
    const distances = [];
    if (below !== null) distances.push(value.si - below);
    if (above !== null) distances.push(above - value.si);
    answer.by = written(Math.min(...distances) / value.factor);
  }
  return answer;
}

function paragraph(text, look) {
  const made = document.createElement("p");
  made.textContent = text;
  made.className = look;
  return made;
}

function show(entry) {
  const quantity = data.quantities[entry.dataset.quantity];
  const input = entry.querySelector("input"), select = entry.querySelector("select");
  const chosen = select ? select.value : entry.querySelector(".unit").dataset.unit;
  const typed = input.value.trim(), said = entry.querySelector(".said");
  entry.classList.toggle("filled", typed !== "");
  said.replaceChildren();
  const answer = typed === "" ? null : judge(quantity, typed, chosen);
  input.setAttribute("aria-invalid", Boolean(answer && answer.refused));
  if (!answer) return;
  if (answer.refused) {
    said.append(paragraph(answer.refused, "refused"));
    return;
  }
  const text = answer.by === null ? data.words[answer.word] : fill(data.words[`${answer.word} by`], answer);
  said.append(paragraph(text, `word ${answer.word.replaceAll(" ", "-")}`));
  for (const sentence of answer.says) said.append(paragraph(sentence, ""));
}

// The choice of a situation: each field offers what goes with those before it.
const cards = [...document.querySelectorAll(".card")], form = document.getElementById("choice");

function choose() {
  let left = data.situations.map((values, place) => place);
  data.fields.forEach((field, number) => {
    const select = form.elements[number], wanted = select.value;
    const offered = field.values.filter(([value]) => left.some(place => data.situations[place][number] === value));
    select.replaceChildren(...offered.map(([value, text]) => new Option(text, value)));
    if (offered.some(([value]) => value === wanted)) select.value = wanted;
    select.parentElement.hidden = offered.length < 2;
    left = left.filter(place => data.situations[place][number] === select.value);
  });
  cards.forEach((card, place) => { card.hidden = place !== (left[0] || 0); });
}

for (const field of data.fields) {
  const label = document.createElement("label"), select = document.createElement("select");
  select.replaceChildren(...field.values.map(([value, text]) => new Option(text, value)));
  label.append(field.label, select);
  form.append(label);
}
document.body.classList.add("scripted"); // the print holds the chosen card alone
form.hidden = data.fields.length === 0;
form.addEventListener("change", choose);
choose();
for (const entry of document.querySelectorAll(".yours")) {
  entry.hidden = false;
  entry.addEventListener("input", () => show(entry));
}
addEventListener("beforeprint", () => {
  for (const details of document.querySelectorAll("details")) details.open = true;
});
