// The snapshot that the Walk's page carries is packed; the one that a phone keeps is whole.

/** The page carries what checks share once, and its place in the check. @param {any} snapshot */
export function unpack(snapshot) {
  const { checks, drawings, units } = snapshot;
  if (!drawings) return;
  for (const check of checks) {
    check.drawing = drawings[check.drawing] ?? "";
    check.key ??= `${check.check}@${check.part}`;
    const { because, sentences } = check.limit ?? {};
    for (const [name, text] of Object.entries(sentences ?? {})) sentences[name] = text.replaceAll("{because}", () => because);
    for (const [name, input] of Object.entries(check.limit?.inputs ?? {})) {
      input.label = check.inputs.find((item) => item.name === name)?.label ?? name;
      if ("units" in input) input.units = units[input.units] ?? {};
    }
  }
}
