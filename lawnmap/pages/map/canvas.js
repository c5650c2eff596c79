/* A canvas that lies on the map: it moves and grows with it, and is painted anew where it came to. */

const AROUND = 0.3; // of the window on each side, painted too so that a short drag shows no edge
const ON_PAPER = 3; // dots a pixel, whatever the screen has

/* Leaflet's renderer places the canvas and stretches it while the map grows; the rest is here. */
function startCanvas(map, pane, draw) {
  let wanted = 0;
  const Painting = L.Renderer.extend({
    options: { pane: pane, padding: AROUND },
    _initContainer() {
      this._container = document.createElement("canvas");
      this._container.setAttribute("aria-hidden", "true");
    },
    _destroyContainer() {
      this._container.remove();
      delete this._container;
    },
    _updatePaths() {},
    _update() {
      if (map._animatingZoom && this._bounds) {
        return;
      }
      L.Renderer.prototype._update.call(this);
      this.paint();
    },
    /* Painted once when the script has done all it does now, however often it was asked for. */
    paint() {
      if (!this.waiting) {
        this.waiting = true;
        queueMicrotask(() => {
          this.waiting = false;
          if (this._container && this._bounds) {
            this.paintNow();
          }
        });
      }
    },
    paintNow() {
      const size = this._bounds.getSize();
      const paper = window.matchMedia("print").matches;
      const dots = paper ? ON_PAPER : window.devicePixelRatio || 1;
      L.DomUtil.setPosition(this._container, this._bounds.min);
      this._container.width = Math.round(size.x * dots);
      this._container.height = Math.round(size.y * dots);
      this._container.style.width = `${size.x}px`;
      this._container.style.height = `${size.y}px`;
      const pen = this._container.getContext("2d");
      pen.setTransform(dots, 0, 0, dots, 0, 0);
      draw(pen, { grow: 2 ** map.getZoom(), from: map.getPixelOrigin().add(this._bounds.min), size: size });
    },
    /* A drag that leaves the painted part behind is followed, once a frame. */
    follow() {
      const size = map.getSize();
      const at = map.containerPointToLayerPoint([0, 0]);
      const seen = L.bounds(at, at.add(size));
      if (!wanted && !map._animatingZoom && this._bounds && !this._bounds.contains(seen)) {
        wanted = requestAnimationFrame(() => {
          wanted = 0;
          if (this._map) {
            this._update();
          }
        });
      }
    },
    getEvents() {
      return { ...L.Renderer.prototype.getEvents.call(this), move: this.follow, resize: this._update };
    },
  });
  return new Painting();
}

/* How a place on the earth, or on a flat plan, becomes pixels of a map without growth. */
function groundToPlane(map) {
  if (map.options.crs === L.CRS.Simple) {
    return (north, east) => [east, -north];
  }
  const radius = 128 / Math.PI;
  return function (north, east) {
    const sine = Math.sin((north * Math.PI) / 180);
    return [128 + (east * 256) / 360, 128 - (radius * Math.log((1 + sine) / (1 - sine))) / 2];
  };
}
