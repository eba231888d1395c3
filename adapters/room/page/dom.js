// Making nodes. Text is only ever set as text.

/** Returns an element with the given attributes and children; a child that is
 * null is left out, one that is a string becomes text. */
export function el(tag, attributes = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === true) node.setAttribute(name, "");
    else if (value !== false && value != null) node.setAttribute(name, value);
  }
  node.append(...children.flat().filter((c) => c != null));
  return node;
}

export const $ = (id) => document.getElementById(id);

/** Shows or hides a node. */
export function show(node, shown) {
  node.hidden = !shown;
}

const signs = {
  // Engraved signs on a 24 by 24 field; the second list is filled.
  check: [["M4 13l5 5L20 6"], []],
  question: [["M8 8.5a4 4 0 1 1 6 3.4c-1.4.9-2 1.7-2 3.1"], ["M12 18.2a1.3 1.3 0 1 1 0 2.6a1.3 1.3 0 1 1 0-2.6z"]],
  answer: [["M4 7h16M4 12h16M4 17h9"], []],
  fermata: [["M3 17a9 9.5 0 0 1 18 0"], ["M12 13.6a2.1 2.1 0 1 1 0 4.2a2.1 2.1 0 1 1 0-4.2z"]],
  repeat: [["M8.5 3v18"], ["M3 3h3v18H3z", "M12.5 7.6a1.6 1.6 0 1 1 0 3.2a1.6 1.6 0 1 1 0-3.2z", "M12.5 13.2a1.6 1.6 0 1 1 0 3.2a1.6 1.6 0 1 1 0-3.2z"]],
  alert: [["M12 3L22 20.5H2z", "M12 9v5.6"], ["M12 16.1a1.1 1.1 0 1 1 0 2.2a1.1 1.1 0 1 1 0-2.2z"]],
  digest: [["M3 5h18M3 9.7h18M3 14.3h18M3 19h18M7 5v14M17 5v14"], []],
  routine: [["M15.5 15V3"], ["M15.9 15.2c.6 1.9-1.1 4.2-3.8 5.1s-5.300 0-5.900-1.900 1.100-4.200 3.800-5.100 5.300 0 5.900 1.900z"]],
};

/** Returns a small sign that goes before a word and says nothing by itself. */
export function sign(name) {
  const ns = "http://www.w3.org/2000/svg";
  const svg = document.createElementNS(ns, "svg");
  svg.setAttribute("viewBox", "0 0 24 24");
  svg.setAttribute("class", "sign");
  svg.setAttribute("aria-hidden", "true");
  const [lines, shapes] = signs[name];
  for (const [paths, kind] of [[lines, "line"], [shapes, "shape"]]) {
    for (const d of paths) {
      const path = document.createElementNS(ns, "path");
      path.setAttribute("d", d);
      path.setAttribute("class", kind);
      svg.append(path);
    }
  }
  return svg;
}
