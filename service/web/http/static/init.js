"use strict";
// Shows the specification of this very service. Nothing is asked of any other machine: no validator, no fonts.
window.addEventListener("load", () => {
  SwaggerUIBundle({
    url: "openapi.json",
    dom_id: "#specification",
    validatorUrl: null,
    deepLinking: true,
    defaultModelsExpandDepth: 0,
    displayRequestDuration: true,
  });
});
