(function () {
  "use strict";
  var view = document.getElementById("view");
  var wait = document.getElementById("wait");

  function unpack() {
    var text = atob(document.getElementById("packed").textContent.trim());
    var bytes = new Uint8Array(text.length);
    for (var k = 0; k < text.length; k += 1) { bytes[k] = text.charCodeAt(k); }
    return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"))).text();
  }

  Promise.resolve().then(unpack).then(function (page) {
    view.srcdoc = page;
    view.hidden = false;
    wait.hidden = true;
  }).catch(function () {
    wait.textContent = "This browser is too old to unpack the yarn. Try another one.";
  });
}());
