// @ts-check
// A link to a box: what it is folded in opens, the box is focused and marked.

/** @param {string} hash */
function go(hash) {
  const target = hash.length > 1 ? document.getElementById(decodeURIComponent(hash.slice(1))) : null;
  if (!target) return;
  for (let fold = target.closest("details"); fold; fold = fold.parentElement?.closest("details") ?? null) fold.open = true;
  const box = target.closest(".box") ?? target;
  for (const old of document.querySelectorAll(".marked")) old.classList.remove("marked");
  box.classList.add("marked");
  box.scrollIntoView({ block: "center" });
  if (target.matches("input, select, button, summary, [tabindex]")) target.focus({ preventScroll: true });
}

export function going() {
  addEventListener("hashchange", () => go(location.hash));
  document.addEventListener("click", (event) => {
    const link = /** @type {HTMLElement} */ (event.target).closest("a");
    if (link && link.hash && link.pathname === location.pathname && link.hash === location.hash) go(link.hash);
  });
  go(location.hash);
}
