// The build that this worker was made with: written before its code by site_demo/app.py.

export const own = spillmarkBuild;
