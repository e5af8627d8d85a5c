// How surfaces look: each has a hatch of its own besides its tint, so that grey and colour-blind eyes tell them apart.
import { Style, Fill, Stroke, Circle, Text } from "ol/style.js";

const tints = { turf: "#2f7d3c", bed: "#8a5a2b", hardscape: "#6b6f76", building: "#7a2f3a", water: "#1f5f99", "keep-off": "#8a1c00" };
const hatches = { turf: "", bed: "dots", hardscape: "cross", building: "solid", water: "waves", "keep-off": "slant" };
const patterns = {};

function pattern(surface) {
  if (patterns[surface]) return patterns[surface];
  const c = document.createElement("canvas"); c.width = c.height = 12;
  const g = c.getContext("2d"), tint = tints[surface] || "#444444";
  g.fillStyle = tint + "38"; g.fillRect(0, 0, 12, 12);
  g.strokeStyle = g.fillStyle = tint; g.lineWidth = 1.2; g.beginPath();
  switch (hatches[surface]) {
    case "dots": g.arc(6, 6, 1.6, 0, 7); g.fill(); break;
    case "cross": g.moveTo(0, 6); g.lineTo(12, 6); g.moveTo(6, 0); g.lineTo(6, 12); g.stroke(); break;
    case "solid": g.fillStyle = tint + "90"; g.fillRect(0, 0, 12, 12); break;
    case "waves": g.moveTo(0, 6); g.quadraticCurveTo(3, 2, 6, 6); g.quadraticCurveTo(9, 10, 12, 6); g.stroke(); break;
    case "slant": g.moveTo(0, 12); g.lineTo(12, 0); g.moveTo(-3, 3); g.lineTo(3, -3); g.moveTo(9, 15); g.lineTo(15, 9); g.stroke(); break;
  }
  return patterns[surface] = g.createPattern(c, "repeat");
}

export function look(feature, chosen) {
  if (feature.get("role") === "truck") return new Style({ image: new Circle({ radius: 11, fill: new Fill({ color: "#ffffff" }), stroke: new Stroke({ color: "#111613", width: 3 }) }), text: new Text({ text: "T", font: "bold 14px sans-serif", fill: new Fill({ color: "#111613" }) }) });
  const surface = feature.get("surface") || "turf", tint = tints[surface] || "#444444";
  return new Style({
    fill: new Fill({ color: pattern(surface) }),
    stroke: new Stroke({ color: chosen ? "#111613" : tint, width: chosen ? 4 : 2.5, lineDash: surface === "keep-off" ? [8, 5] : undefined }),
    text: new Text({ text: [feature.get("name"), surface === "turf" ? feature.get("zone") : surface].filter(Boolean).join(", "), font: "600 13px sans-serif", overflow: false, fill: new Fill({ color: "#111613" }), stroke: new Stroke({ color: "#ffffffd0", width: 4 }) }),
  });
}
