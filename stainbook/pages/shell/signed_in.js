// Names who is signed in, signs out, and leaves for the sign-in page once the session has ended.
const LOOK_MS = 20000;
export default ({ data, parentElement }) => {
  const [said, out] = [parentElement.querySelector('span'), parentElement.querySelector('button')];
  said.textContent = data.said;
  out.textContent = data.out;
  out.hidden = !data.out;
  const leave = () => location.assign(`/sign-in?next=${encodeURIComponent(location.pathname + location.search)}`);
  const look = async () => {
    try {
      const answer = await fetch('/sign-in/state', { cache: 'no-store' });
      if (answer.status === 401) leave();
    } catch { /* the server starts anew: the next look says more */ }
  };
  out.onclick = async () => { await fetch('/sign-out', { method: 'POST' }); location.assign('/sign-in'); };
  if (!data.said) look();
  const every = setInterval(look, LOOK_MS);
  return () => clearInterval(every);
}
