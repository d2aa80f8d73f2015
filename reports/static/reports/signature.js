// A signature drawn with finger, pen or mouse. Without this nothing is asked for, and the name stands typed.
const MOST_STROKES = 100;
const MOST_POINTS = 3000;
const NEAR = 2; // units; a pen that moved less has not moved

document.querySelectorAll("[data-signature]").forEach((part) => {
  const canvas = part.querySelector("canvas");
  const field = part.querySelector("input");
  const pen = canvas.getContext("2d");
  const [width, height] = [Number(canvas.dataset.width), Number(canvas.dataset.height)];
  let strokes = JSON.parse(field.value || "[]");
  let points = strokes.flat().length / 2;
  let drawing = null;

  function draw() {
    const dots = canvas.clientWidth * window.devicePixelRatio;
    canvas.width = dots;
    canvas.height = (dots * height) / width;
    pen.scale(dots / width, dots / width);
    pen.lineWidth = 4;
    pen.lineCap = pen.lineJoin = "round";
    pen.strokeStyle = getComputedStyle(canvas).color;
    strokes.forEach((stroke) => {
      pen.beginPath();
      pen.moveTo(stroke[0], stroke[1]);
      for (let at = 0; at < stroke.length; at += 2) {
        pen.lineTo(stroke[at], stroke[at + 1]);
      }
      pen.stroke();
    });
  }

  const within = (value, top) => Math.round(Math.min(Math.max(value, 0), top));

  function add(event) {
    const box = canvas.getBoundingClientRect();
    const x = within(((event.clientX - box.left) / box.width) * width, width);
    const y = within(((event.clientY - box.top) / box.height) * height, height);
    const [lastX, lastY] = drawing.slice(-2);
    if (points < MOST_POINTS && !(Math.hypot(x - lastX, y - lastY) < NEAR)) {
      drawing.push(x, y);
      points += 1;
    }
  }

  canvas.addEventListener("pointerdown", (event) => {
    if (strokes.length < MOST_STROKES && points < MOST_POINTS) {
      canvas.setPointerCapture(event.pointerId);
      drawing = [];
      strokes.push(drawing);
      add(event);
      draw();
    }
  });
  canvas.addEventListener("pointermove", (event) => {
    if (drawing) {
      event.getCoalescedEvents().forEach(add);
      draw();
    }
  });
  ["pointerup", "pointercancel"].forEach((name) =>
    canvas.addEventListener(name, () => {
      drawing = null;
      field.value = JSON.stringify(strokes);
    }),
  );
  part.querySelector("button").addEventListener("click", () => {
    strokes = [];
    points = 0;
    field.value = "";
    draw();
  });
  window.addEventListener("resize", draw);
  part.hidden = false;
  draw();
});
