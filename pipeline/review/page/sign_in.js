/** The door: sends name and secret, and says what went wrong. */
const form = document.getElementById("door");
const wrong = document.getElementById("wrong");
const near = ["localhost", "127.0.0.1", "[::1]"].includes(location.hostname);
document.getElementById("unsafe").hidden = location.protocol === "https:" || near;
document.getElementById("name").focus();

/** @param {(string|undefined)[]} all @returns {string} */
const sentences = (all) =>
  all
    .filter(Boolean)
    .map((text) => `${text[0].toUpperCase()}${text.slice(1).replace(/\.$/, "")}.`)
    .join(" ");

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  wrong.textContent = "";
  const button = form.querySelector("button");
  button.disabled = true;
  try {
    const answer = await fetch("/api/session", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ name: form.elements.name.value, secret: form.elements.secret.value }),
    });
    if (answer.ok) return location.assign("/");
    const told = await answer.json().catch(() => null);
    const wait = Math.ceil(Number(answer.headers.get("Retry-After")) / 60);
    const remedy = wait ? `try again in ${wait === 1 ? "a minute" : `${wait} minutes`}` : told?.problem?.remedy;
    wrong.textContent = sentences([told?.problem?.message || "that was not accepted", remedy]);
    form.elements.secret.select();
  } catch {
    wrong.textContent = "The desk does not answer. Is the program still running?";
  } finally {
    button.disabled = false;
  }
});
