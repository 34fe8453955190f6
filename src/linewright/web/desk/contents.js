/** The list of talks: begin one, take files in. */

import { byId } from "./dom.js";
import { Files } from "./files.js";
import { post } from "./live.js";

const files = new Files(byId("jobs"), "");

byId("new").addEventListener("submit", async (event) => {
  event.preventDefault();
  try {
    const { address } = await post("/talks", { title: byId("title").value });
    location.assign(address);
  } catch (error) {
    byId("trouble").textContent = error.message;
  }
});

byId("file").addEventListener("change", () => {
  for (const file of byId("file").files) files.upload(file);
});
