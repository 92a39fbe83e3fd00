// Package packs keeps pack processes alive: it starts them, knows which of them
// serve, starts them again when they fail, and leaves none behind.
//
// A [Supervisor] holds one [Pack] per [Launch]; a Pack has at most one live
// [Instance], a process with a connection to it. Whoever sends checks asks the Pack
// for its instance, uses it until [Instance.Done], and waits on [Pack.Changed] for the
// next one. Packs are go-plugin processes, but go-plugin decides little here:
//
//   - The process is started from one thread that outlives it (a parent-death signal
//     belongs to the thread), in a process group of its own, with a short list of
//     environment variables.
//   - The handshake line is read and judged before go-plugin sees it. Only a Unix
//     socket in this run's own folder is ever dialled.
//   - Every call to a pack that is part of its life has a deadline, and what misses it
//     is killed without being asked.
//   - Output is read whatever happens, by lines, with limits.
//
// A failed pack is never a failed host: Start succeeds with the packs that work, and a
// missing one tells its reason through [Pack.Status] and [Pack.Instance].
package packs
