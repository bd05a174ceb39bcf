// The fields of one check: numbers, choices, words. Gives what was typed, what it means, and what cannot be read.

import { el } from "../../lib/dom.js";
import { BadTyping, parseNumber } from "../../lib/format.js";

/** @typedef {{typed: string, value: number | string, unit: string | null}} Taken */
/** @typedef {{inputs: Record<string, Taken>, wrong: string[], missing: string[]}} Form `wrong` and `missing` are names of inputs */

const PAUSE = 900;

/**
 * @param {any} check
 * @param {(form: Form) => void} changed called after every change
 * @returns {{element: HTMLElement, aside: HTMLElement | false, read: () => Form, insist: () => HTMLElement | null}} `aside` holds
 *   what need not be answered and stands below the verdict; `insist` shows every error and missing answer and returns the first
 *   such field
 */
export function fieldsOf(check, changed) {
  const many = check.inputs.filter((input) => input.kind === "number").length > 1;
  const fields = check.inputs.map((input) => fieldOf(check, input, () => changed(read())));
  const numbers = fields.filter((field) => field.isNumber).map((field) => field.element);
  const words = (wanted) => fields.filter((field, place) => !field.isNumber && check.inputs[place].required === wanted).map((field) => field.element);
  const element = el("div", { class: "stack-tight" }, numbers.length > 0 && el("div", { class: many ? "readings" : "" }, ...numbers), ...words(true));
  const optional = words(false);
  const aside = optional.length > 0 && el("div", { class: "card stack-tight" }, ...optional);

  /** @returns {Form} */
  function read() {
    const form = { inputs: {}, wrong: [], missing: [] };
    for (const field of fields) field.into(form);
    return form;
  }

  function insist() {
    const form = read();
    for (const field of fields) field.complain(form);
    const first = fields.find((field) => form.wrong.includes(field.name) || form.missing.includes(field.name));
    return first ? first.focusable : null;
  }

  return { element, aside, read, insist };
}

/**
 * Writes into a check's fields what was typed before.
 * @param {HTMLElement} form
 * @param {Record<string, string>} typed by the input's name
 */
export function refill(form, typed) {
  for (const box of /** @type {NodeListOf<HTMLInputElement>} */ (form.querySelectorAll("input[name]"))) {
    const given = typed[box.name];
    if (box.type === "radio") box.checked = given === box.value;
    else box.value = given ?? "";
  }
}

/** What stands in a check's fields, readable or not. @param {HTMLFormElement} form @returns {Record<string, string>} */
export const typedIn = (form) => Object.fromEntries([...new FormData(form)].map(([name, given]) => [name, String(given)]).filter(([, given]) => given.trim()));

function fieldOf(check, input, changed) {
  if (input.kind === "number") return numberField(check, input, changed);
  if (input.kind === "choice" || input.kind === "yes_no") return choiceField(input, changed, check.inputs.length === 1);
  return wordsField(input, changed);
}

function numberField(check, input, changed) {
  const id = `input-${input.name}`;
  const units = check.limit?.inputs?.[input.name]?.units;
  const signed = input.least === null || input.least < 0;
  const error = el("p", { class: "error", id: `${id}-error`, role: "alert", hidden: true });
  const box = el("input", {
    id, name: input.name, type: "text", inputmode: "decimal", enterkeyhint: "done", autocomplete: "off", "aria-describedby": `${id}-error`,
    oninput: () => {
      complain("");
      clearTimeout(timer);
      timer = setTimeout(check_, PAUSE);
      changed();
    },
    onchange: () => check_(),
  });
  const unit = input.unit_label && input.unit_label !== "1" ? el("span", { class: "reading-unit" }, input.unit_label) : el("span", { class: "reading-unit" });
  const sign = signed && el("button", { type: "button", class: "button button-small sign", "aria-label": `Change the sign of ${input.label}`, onclick: flip }, "±");
  const label = el("label", { for: id }, input.required ? input.label : `${input.label} (if known)`);
  const element = el("div", { class: `reading${signed ? " reading-signed" : ""}` }, label, sign, box, unit, error);
  let timer = 0;

  function take() {
    const typed = box.value.trim();
    if (!typed) return null;
    return { typed, ...parseNumber(typed, input, units) };
  }

  function check_() {
    clearTimeout(timer);
    try {
      take();
      complain("");
    } catch (problem) {
      complain(sentenceOf(problem));
    }
  }

  function complain(sentence) {
    error.textContent = sentence;
    error.hidden = !sentence;
    if (sentence) box.setAttribute("aria-invalid", "true");
    else box.removeAttribute("aria-invalid");
  }

  function flip() {
    const typed = box.value.trim();
    box.value = /^[-−]/.test(typed) ? typed.slice(1) : `-${typed}`;
    box.focus();
    changed();
  }

  return {
    name: input.name,
    element,
    isNumber: true,
    focusable: box,
    into(form) {
      try {
        const taken = take();
        if (taken) form.inputs[input.name] = taken;
        else if (input.required) form.missing.push(input.name);
      } catch (problem) {
        sentenceOf(problem);
        form.wrong.push(input.name);
      }
    },
    complain(form) {
      if (form.wrong.includes(input.name)) check_();
      else if (form.missing.includes(input.name)) complain(`Type ${input.label} first, or press "Can't measure".`);
    },
  };
}

/** `alone`: the question above already says it, so the label is for screen readers only. */
function choiceField(input, changed, alone) {
  const options = input.options.length ? input.options : ["yes", "no"];
  const error = el("p", { class: "error", role: "alert", hidden: true });
  const radios = options.map((option) => el("input", { type: "radio", name: input.name, value: option, onchange: () => {
    error.hidden = true;
    changed();
  } }));
  const choices = radios.map((radio, place) => el("label", { class: "choice" }, radio, el("span", {}, sentenceCase(options[place]))));
  const element = el("fieldset", { class: "choices" }, el("legend", { class: alone && "unseen" }, sentenceCase(input.label)), ...choices, error);
  const chosen = () => radios.find((radio) => radio.checked)?.value;
  return {
    name: input.name,
    element,
    isNumber: false,
    focusable: radios[0],
    into(form) {
      const answer = chosen();
      if (answer) form.inputs[input.name] = { typed: answer, value: answer, unit: null };
      else if (input.required) form.missing.push(input.name);
    },
    complain(form) {
      error.textContent = `Choose an answer first, or press "Can't measure".`;
      error.hidden = !form.missing.includes(input.name);
    },
  };
}

/** Words; a photo is taken with the phone's own camera and described here. */
function wordsField(input, changed) {
  const id = `input-${input.name}`;
  const error = el("p", { class: "error", role: "alert", hidden: true });
  const box = el("input", { id, name: input.name, type: "text", autocomplete: "off", enterkeyhint: "done", oninput: () => {
    error.hidden = true;
    changed();
  } });
  const label = input.kind === "photo" ? `${sentenceCase(input.label)}: what the photo shows` : sentenceCase(input.label);
  const element = el("div", { class: "field" }, el("label", { for: id }, input.required ? label : `${label} (if there is something to say)`), box, error);
  return {
    name: input.name,
    element,
    isNumber: false,
    focusable: box,
    into(form) {
      const typed = box.value.trim();
      if (typed) form.inputs[input.name] = { typed, value: typed, unit: null };
      else if (input.required) form.missing.push(input.name);
    },
    complain(form) {
      error.textContent = `Write ${input.label} first, or press "Can't measure".`;
      error.hidden = !form.missing.includes(input.name);
    },
  };
}

/** The sentence of a typing error; any other error is not ours to swallow. */
function sentenceOf(problem) {
  if (problem instanceof BadTyping) return problem.sentence;
  throw problem;
}

/** @param {string} text */
export const sentenceCase = (text) => text.charAt(0).toUpperCase() + text.slice(1);
