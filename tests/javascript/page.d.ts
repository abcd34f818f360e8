/** The map that the skeleton of the page makes. */
declare const map_ground: import("leaflet").Map;
