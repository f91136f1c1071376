// Comfort only; every page works without it.
"use strict";

// The phone's own location into the fields of a place. The button is hidden until we know that the phone can tell.
for (const button of document.querySelectorAll("[data-locate]")) {
  if (!("geolocation" in navigator)) continue;
  button.hidden = false;
  const words = button.textContent;
  button.addEventListener("click", () => {
    button.disabled = true;
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        const form = button.form;
        form.elements.where.value = `${coords.latitude.toFixed(5)}, ${coords.longitude.toFixed(5)}`;
        if (coords.altitude !== null && form.elements.elevation && !form.elements.elevation.value) form.elements.elevation.value = Math.round(coords.altitude);
        button.disabled = false;
        button.textContent = words;
      },
      () => { button.disabled = false; button.textContent = button.dataset.locateFailed; },
      { enableHighAccuracy: true, timeout: 20000, maximumAge: 60000 });
  });
}

// The time zone this device lives in: it decides where a position leaves several clocks possible.
for (const field of document.querySelectorAll("[data-zone]")) field.value = Intl.DateTimeFormat().resolvedOptions().timeZone ?? "";

// A form is sent once, however often a cold finger taps.
document.addEventListener("submit", (event) => {
  if (event.target.dataset.sent) { event.preventDefault(); return; }
  event.target.dataset.sent = "yes";
});
addEventListener("pageshow", () => { for (const form of document.forms) delete form.dataset.sent; });
