// What tsc has to be told about the worker's surroundings.

/** Written before the worker's code by site_demo/app.py. */
declare var spillmarkBuild: import("../messages.js").Build;
