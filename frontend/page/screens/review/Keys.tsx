// The keys of the list, in sight where there is a keyboard.
export function Keys({ decides }: { readonly decides: boolean }) {
  return (
    <p id="keys" class="keys small soft">
      <Key name="↑" /> <Key name="↓" /> or <Key name="j" /> <Key name="k" /> move
      {decides ? (
        <>
          {" · "}
          <Key name="1" /> to <Key name="4" /> choose the outcome{" · "}
          <Key name="Enter" /> saves{" · "}
          <Key name="Esc" /> back to the list
        </>
      ) : (
        <>
          {" · "}
          <Key name="Enter" /> to the evidence{" · "}
          <Key name="Esc" /> back to the list
        </>
      )}
    </p>
  );
}

function Key({ name }: { readonly name: string }) {
  return <kbd>{name}</kbd>;
}
