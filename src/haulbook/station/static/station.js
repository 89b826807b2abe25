/** What a script makes easier; every page works without it. */
import { closeMenus } from "./menu.js";
import { sendOnce } from "./once.js";
import { keepTyped } from "./typed.js";
import { offerPrint } from "./print.js";

closeMenus(document);
sendOnce(document);
keepTyped(document);
offerPrint(document);
