// Before all else, in words that the oldest browser knows: the page begins to start; if its script then fails, a sentence shows.
(function () {
  var root = document.documentElement;
  root.className = 'starts';
  window.onerror = function () {
    if (root.className !== 'starts') return;
    root.className = 'fails';
    var trouble = document.getElementById('trouble');
    if (trouble) trouble.textContent = 'This browser is too old to play this page. Open the file in a newer browser, or on another phone or computer. The pan and the bars below can still be read.';
  };
})();
