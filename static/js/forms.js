// Two things a form that saves itself needs from the browser.

// Send what was changed here, or was refused and stands to be mended; nothing that only stands
// there, so that what another tab changed meanwhile is not written over.
document.addEventListener("htmx:config:request", ({ detail: { ctx } }) => {
  const { form, body } = ctx.request;
  if (!form?.matches(".saves")) return;
  for (const name of new Set(body.keys())) {
    const controls = [...form.elements].filter((one) => one.name === name && one.type !== "hidden");
    if (controls.length && !controls.some(isToSend)) body.delete(name);
  }
});

function isToSend(control) {
  if (control.matches("[aria-invalid=true], [data-again]")) return true;
  if (control.type === "checkbox") return control.checked !== control.defaultChecked;
  if (control.options) return [...control.options].some((o) => o.selected !== o.defaultSelected);
  return control.value !== control.defaultValue;
}

// A form that waited its turn goes to the address its page gives now: the answer before it may
// have brought a newer edition, and only a page shown elsewhere is out of date.
document.addEventListener("htmx:before:request", ({ detail: { ctx } }) => {
  const address = ctx.sourceElement.getAttribute("hx-post");
  if (address) ctx.request.action = address;
});
