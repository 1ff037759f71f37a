(function () {
  "use strict";
  // chosen: a sixth of a quarter turn a press, less while a key is held down and repeats some thirty times a second
  var PRESS = 15 * Math.PI / 180, HELD = 5 * Math.PI / 180;
  // chosen: a seventh nearer or farther a press, up to some stitches filling the view or the fabric being a third of it
  var NEARER = 1.15, NEAREST = 0.08, FARTHEST = 3;
  var words = JSON.parse(document.getElementById("words").textContent);
  var canvas = document.querySelector("canvas");
  var home = null;

  document.title = words.name;
  document.documentElement.lang = "en-GB";
  // the viewer forbids enlarging its page, and some people need that to see
  document.querySelector("meta[name=viewport]").content = "width=device-width, initial-scale=1";
  if (!canvas) {
    var sorry = document.createElement("p");
    sorry.textContent = words.missing;
    document.body.append(sorry);
    return;
  }

  // the yarn's colours are light, not numbers for a screen, which the viewer does not turn them into by itself
  renderer.outputEncoding = THREE.sRGBEncoding;
  // chosen by eye: as bright as the pictures, and no side in the dark
  tracklight.intensity = 0.85;
  scene.add(new THREE.HemisphereLight(0xffffff, 0xb8b0a4, 0.45));

  function element(kind, id, text) {
    var made = document.createElement(kind);
    made.id = id;
    made.textContent = text;
    return made;
  }

  var keys = element("p", "keys", words.keys);
  keys.hidden = true;
  canvas.tabIndex = 0;
  canvas.setAttribute("role", "application");
  canvas.setAttribute("aria-label", words.said);
  canvas.setAttribute("aria-describedby", "keys");
  canvas.after(element("div", "ring", ""), keys);

  function turned(about, angle) {
    var q = new THREE.Quaternion().setFromAxisAngle(about, angle);
    camera.position.sub(controls.target).applyQuaternion(q).add(controls.target);
    camera.up.applyQuaternion(q);
  }

  function aside(angle) {
    // about the fabric's own upright, so that it stays upright; to the side to which the key points even upside down
    turned(new THREE.Vector3(0, 1, 0), camera.up.y < 0 ? angle : -angle);
  }

  function over(angle) {
    var away = camera.position.clone().sub(controls.target);
    turned(new THREE.Vector3().crossVectors(camera.up, away).normalize(), angle);
  }

  function nearer(times) {
    var away = camera.position.clone().sub(controls.target);
    var far = home.position.distanceTo(home.target);
    away.setLength(Math.min(FARTHEST * far, Math.max(NEAREST * far, away.length() / times)));
    camera.position.copy(controls.target).add(away);
  }

  function again() {
    camera.position.copy(home.position);
    camera.up.copy(home.up);
    controls.target.copy(home.target);
  }

  function moved(key, angle) {
    switch (key) {
      case "ArrowLeft": return aside(-angle);
      case "ArrowRight": return aside(angle);
      case "ArrowUp": return over(angle);
      case "ArrowDown": return over(-angle);
      case "+": case "=": return nearer(NEARER);
      case "-": case "_": case "\u2212": return nearer(1 / NEARER);
      case "Home": return again();
      default: return false;
    }
  }

  function waiting() {
    if (!window.controls) { window.requestAnimationFrame(waiting); return; }
    home = { position: camera.position.clone(), up: camera.up.clone(), target: controls.target.clone() };
    canvas.addEventListener("keydown", function (event) {
      if (event.ctrlKey || event.metaKey || event.altKey) { return; }
      if (moved(event.key, event.repeat ? HELD : PRESS) === false) { return; }
      event.preventDefault();
      camera.lookAt(controls.target);
      controls.dispatchEvent({ type: "change" });
    });
    canvas.dataset.ready = "";
  }
  waiting();
}());
