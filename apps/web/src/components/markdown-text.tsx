import Markdown from "react-markdown";
import classes from "./markdown-text.module.css";

/**
 * Text that somebody wrote in Markdown. HTML in it is shown as the characters it is made of, addresses of other kinds
 * than the web's and mail's are dropped, and pictures are not fetched. Headings begin below those of the page.
 */
export function MarkdownText({ text }: { readonly text: string }) {
  return (
    <div className={classes.text}>
      <Markdown
        disallowedElements={["img"]}
        components={{
          h1: ({ children }) => <h3>{children}</h3>,
          h2: ({ children }) => <h3>{children}</h3>,
          h3: ({ children }) => <h4>{children}</h4>,
          // An address that was dropped leaves its words.
          a: ({ children, href }) =>
            href === undefined || href === "" ? (
              <span>{children}</span>
            ) : (
              <a href={href} rel="noopener noreferrer nofollow" target="_blank">
                {children}
              </a>
            ),
        }}
      >
        {text}
      </Markdown>
    </div>
  );
}
